"""A text that does harm wherever it is not taken as text, and plans in which every text is one."""

from dataclasses import fields, is_dataclass, replace

from zoning.words import Said

# Out of an element, an attribute of either quote, a comment, a script, a style, a template; to the right.
HOSTILE = (
    '<img src="http://evil.invalid/a" onerror="window.hit=1"><script>window.hit=1</script>'
    "\"' onmouseover=window.hit=1 autofocus onfocus=window.hit=1 x=' "
    "</script></style></title></textarea></svg><!-- --> ]]> "
    '<svg onload=window.hit=1><a href="javascript:window.hit=1" class="harm">a</a></svg>'
    "<iframe src=http://evil.invalid/b></iframe>&lt;b&gt;&#60;u&#62; "
    "{{7*7}} ${7*7} %s {0} \\u003cscript\\u003e"
)
# What people name or write; other texts of a plan are codes of ours.
NAMES = {
    *("field", "farm", "sprayer", "product", "file", "folder", "folders", "name", "block", "source", "text"),
    *("note", "photo", "observer", "new_design", "version", "cautions", "columns", "run_id", "field_name"),
}


def harmed(thing: object, name: str = "") -> object:
    """The same with every name, note and value of a sentence ending in the hostile text."""
    if isinstance(thing, str):
        return thing + HOSTILE if name in NAMES else thing
    if isinstance(thing, Said):
        values = {key: harmed(value, "text") for key, value in thing.values.items()}
        try:
            return Said(thing.code, **values)
        except (ValueError, TypeError, KeyError):  # a value that chooses the words of the sentence
            return thing
    if isinstance(thing, tuple) and not hasattr(thing, "_fields"):
        return tuple(harmed(one, name) for one in thing)
    if is_dataclass(thing) and not isinstance(thing, type):
        changed = {one.name: getattr(thing, one.name) for one in fields(thing) if one.init}
        # the name of anything else is a code
        is_named = type(thing).__name__ in ("PlanZone", "Picture", "PlanPass")
        after = {
            key: harmed(value, "" if key == "name" and not is_named else key)
            for key, value in changed.items()
        }
        return replace(thing, **{key: value for key, value in after.items() if value is not changed[key]})
    return thing
