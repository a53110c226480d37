"""The content policy of a page: nothing may be loaded, sent or run but what the page itself carries.

Our own style and script are named by their hashes, so that nothing that a file brings along can run.
"""

import base64
import hashlib


def policy(style: str, script: str, *, desk: bool = False) -> str:
    """Write the policy for a page with one style and one script; the desk's may also ask its own server.

    Examples
    --------
    >>> policy("", "").split("; ")[0]
    "default-src 'none'"
    """
    rules = [
        "default-src 'none'",
        "img-src data:",
        f"style-src '{_hash(style)}'",
        f"script-src '{_hash(script)}'",
        "base-uri 'none'",
        "form-action 'none'",
        *(["connect-src 'self'"] if desk else []),
    ]
    return "; ".join(rules)


def _hash(text: str) -> str:
    return f"sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}"
