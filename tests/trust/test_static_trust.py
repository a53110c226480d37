"""The program's own text: nothing is run that was read, nothing is guessed, nothing is let through unescaped.

Read off the syntax trees of `zoning` and `cli`. Where a thing may stand, the list here says why.
"""

import ast
import re
import stat
from collections import Counter
from pathlib import Path

import jinja2
from source_trees import ROOT, called, nodes

from zoning.farm import workers
from zoning.show.templates import templates

# -- nothing is run that was read ----------------------------------------------------------------------------

BANNED_MODULES = {
    *("marshal", "shelve", "dill", "cloudpickle", "joblib", "yaml", "cffi", "code", "codeop"),
    *("subprocess", "pty", "commands", "xmlrpc", "ftplib", "smtplib", "telnetlib", "requests", "httpx"),
    *("urllib.request", "http.client", "http.server", "asyncio", "ssl", "aiohttp", "runpy", "pdb"),
}
BANNED_CALLS = {
    *("eval", "exec", "compile", "__import__", "input", "breakpoint"),
    *("os.system", "os.popen", "os.startfile", "os.fork", "os.forkpty", "pty.fork", "pty.spawn"),
    *(f"os.exec{end}" for end in ("v", "ve", "vp", "vpe", "l", "le", "lp", "lpe")),
    *(f"os.spawn{end}" for end in ("v", "ve", "vp", "vpe", "l", "le", "lp", "lpe")),
    *("os.posix_spawn", "os.posix_spawnp", "runpy.run_path", "runpy.run_module"),
    *("importlib.util.spec_from_file_location", "importlib.util.module_from_spec"),
    *("tempfile.mktemp", "os.tmpnam", "os.tempnam", "types.FunctionType", "types.CodeType"),
    *("importlib.__import__", "builtins.eval", "builtins.exec"),
}
# where it stands -> why it may
PICKLE = {"zoning/farm/workers.py": "results of workers, in a folder that only this user may enter"}
IMPORTED_BY_NAME = {
    "cli/listed.py": "a command of a table, as COMMANDS",
    "zoning/ahead.py": "two modules by their names",
    "zoning/farm/cluster.py": "distributed, by its name",
    "zoning/farm/kept/classes.py": "a module of the table of what may be kept",
}
XML_READ = {
    "zoning/inputs/strict_xml.py": "expat, with document types and entities refused",
    "zoning/file_checks/taskdata/read.py": "expat, with document types and entities refused",
    "zoning/file_checks/geotiff/rules.py": "expat, that looks whether a style is whole and keeps nothing",
}
XML_WRITTEN = {"Element", "SubElement", "indent", "tostring"}  # of ElementTree: what builds and reads nothing
# who may ask a network, and by which library
ASKS = {"requests", "urllib3", "pystac", "pystac_client"}
FETCHES = {
    ("zoning/fetch/session.py", "requests"): "asks a service while `get weather` runs",
    ("zoning/fetch/session.py", "urllib3"): "what the same library is made of: its faults and waits",
    ("zoning/fetch/imagery/stac.py", "pystac_client"): "asks a catalogue while `get imagery` runs",
    ("zoning/fetch/imagery/stac.py", "pystac"): "the faults of what a catalogue answers",
    ("zoning/fetch/imagery/stac.py", "urllib3"): "how often and after which waits it is asked again",
}
OPENS_FROM_AFAR = {"zoning/fetch/imagery/pixels.py": "parts of a scene, while `get imagery` runs"}
SOCKETS = {"zoning/desk/served.py": "listens on 127.0.0.1", "cli/desk.py": "opens the browser of who asked"}


def imports():
    """Modules and names that are imported, with the path of who does."""
    for path, node in nodes():
        if isinstance(node, ast.Import):
            yield from ((path, one.name, "") for one in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield from ((path, node.module, one.name) for one in node.names)


def test_no_module_that_runs_or_fetches_is_imported():
    found = [
        (path, module)
        for path, module, name in imports()
        if {module, module.split(".")[0], f"{module}.{name}"} & BANNED_MODULES
    ]
    assert [one for one in found if one not in FETCHES] == []


def test_who_asks_a_network_is_known():
    asks = {(path, module.split(".")[0]) for path, module, _ in imports()}
    assert {one for one in asks if one[1] in ASKS} == set(FETCHES)
    texts = {
        path for path, node in nodes() if isinstance(node, ast.Constant) and "/vsicurl" in str(node.value)
    }
    assert texts == set(OPENS_FROM_AFAR)


def test_compiled_code_is_called_to_empty_its_output_only():
    assert {path for path, module, _ in imports() if module == "ctypes"} == {
        "zoning/passes/schedule/still.py"
    }
    found = [ast.unparse(node) for path, node in nodes() if "ctypes" in called(node)]
    assert found == ["ctypes.CDLL(None)"]


def test_nothing_that_was_read_is_run():
    found = [(path, node.lineno, called(node)) for path, node in nodes() if called(node) in BANNED_CALLS]
    assert found == []
    shells = [path for path, node in nodes() if isinstance(node, ast.keyword) and node.arg == "shell"]
    assert shells == []


def test_pickles_are_taken_from_workers_only():
    assert {path for path, module, _ in imports() if module == "pickle"} == set(PICKLE)
    allowed = [node for _, node in nodes() if isinstance(node, ast.keyword) and node.arg == "allow_pickle"]
    assert all(isinstance(one.value, ast.Constant) and one.value.value is False for one in allowed)
    frames = [node for _, node in nodes() if called(node).rpartition(".")[2] in ("read_pickle", "to_pickle")]
    assert frames == []


def test_modules_are_imported_by_names_of_tables_only():
    found = {path for path, node in nodes() if called(node).rpartition(".")[2] == "import_module"}
    assert found == set(IMPORTED_BY_NAME)


def test_arrays_are_loaded_without_pickles():
    loaded = [node for _, node in nodes() if called(node) in ("np.load", "numpy.load")]
    for node in loaded:
        named = {one.arg: one.value for one in node.keywords}
        assert "allow_pickle" not in named or named["allow_pickle"].value is False


def test_xml_is_read_by_parsers_that_follow_nothing():
    parsed = {
        path
        for path, module, _ in imports()
        if module.startswith(("xml.parsers", "xml.sax", "xml.dom", "lxml"))
    }
    assert parsed == set(XML_READ)
    from_etree = {name for _, module, name in imports() if module.startswith("xml.etree")}
    assert from_etree <= XML_WRITTEN


def test_sockets_are_known():
    found = {
        path
        for path, module, _ in imports()
        if module.split(".")[0] in ("socket", "socketserver", "webbrowser")
    }
    assert found == set(SOCKETS)


def test_temporary_files_have_names_that_nobody_guesses():
    found = {called(node) for _, node in nodes() if called(node).startswith("tempfile.")}
    assert found <= {"tempfile.mkstemp", "tempfile.mkdtemp", "tempfile.TemporaryDirectory"}


def test_what_workers_leave_is_for_this_user_only_and_goes():
    with workers.Processes(2) as started:
        folder = Path(started._results.name)
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700
        assert re.fullmatch(r"sprayworth_\w{8}", folder.name)
        name = Path(
            workers._work(workers.Chunk(step=_same, places=(0,), tasks=(7,), shared=None), str(folder))
        )
        assert name.parent == folder
        assert stat.S_IMODE(name.stat().st_mode) == 0o600
        assert [one.value for one in workers._taken(str(name))] == [7]
        assert list(folder.iterdir()) == []
    assert not folder.exists()


def _same(task, _shared):
    return task


# -- nothing is let through unescaped ------------------------------------------------------------------------

# What is given to Markup without being escaped: text of our own, or put together of what was escaped.
TEMPLATES_SAFE = {"farm_page/farm.html.j2": 3}  # " class" of a column of figures: letters of the template
# What is put into a text with elements without being escaped there -> why it may.
OWN = {
    "number": "a number of a list of ours",
    "style": "the style of the page that is looked for, by its hash",
    "script": "the script of the page that is looked for, by its hash",
    "_style()": "our own style",
    "_script()": "our own script",
}
_SHAPE = "a drawing of numbers, whose texts are escaped where they are put in"
MARKED = {
    "zoning/show/farm_page/__init__.py": (3, f"our own style and script; {_SHAPE}"),
    "zoning/show/farm_page/farm_map.py": (3, _SHAPE),
    "zoning/show/farm_page/paint.py": (1, _SHAPE),
    "zoning/show/farm_page/rig_rows.py": (1, "dates"),
    "zoning/show/page/__init__.py": (6, f"our own style and script; JSON with < written out; {_SHAPE}"),
    "zoning/show/page/both_units.py": (2, "escaped in the same line"),
    "zoning/show/page/first_lines.py": (1, "a number"),
    "zoning/show/page/map_legend.py": (7, f"words of our own; {_SHAPE}"),
    "zoning/show/page/spans.py": (3, "escaped in the same line, or marked already"),
    "zoning/show/page/svg_shapes.py": (1, "a pattern of our own, whose values are escaped"),
    "zoning/show/page/zone_rows.py": (1, "a sign of our own"),
    "zoning/show/sheet/look.py": (1, _SHAPE),
    "zoning/show/trial/page.py": (16, f"escaped in the same line; our own style; {_SHAPE}"),
    "zoning/show/trial/pdf.py": (1, _SHAPE),
}
NO_ESCAPE = re.compile(r"\|\s*safe\b|autoescape\s+false|\|\s*forceescape", re.IGNORECASE)


def test_every_template_escapes():
    made = templates("zoning.show.page")
    assert made.autoescape is True
    assert made.undefined is jinja2.StrictUndefined
    assert made.from_string("{{ a }}").render(a='<b a="1">') == "&lt;b a=&#34;1&#34;&gt;"
    found = {}
    paths = sorted([*(ROOT / "zoning").glob("**/*.j2"), *(ROOT / "zoning").glob("**/*.html")])
    assert len(paths) > 5
    for path in paths:
        count = len(NO_ESCAPE.findall(path.read_text(encoding="utf-8")))
        if count:
            found[path.relative_to(ROOT / "zoning" / "show").as_posix()] = count
    assert found == TEMPLATES_SAFE
    made_in = {
        path for path, node in nodes() if called(node).rpartition(".")[2] in ("Environment", "Template")
    }
    # the desk's page around what is escaped already: a template of Python's own, which can do nothing
    assert made_in == {"zoning/show/templates.py", "zoning/desk/page.py"}


def test_what_is_not_escaped_again_is_known():
    """Each call of Markup with anything but letters of the program; the browser is asked too."""
    found = Counter(
        path
        for path, node in nodes()
        if called(node) == "Markup" and node.args and not isinstance(node.args[0], ast.Constant)
    )
    assert found == {path: count for path, (count, _) in MARKED.items()}


def test_no_page_is_written_past_the_templates():
    """Texts with elements that the desk puts together itself escape what they hold."""
    pieces = [
        (path, node.lineno, ast.unparse(one.value))
        for path, node in nodes()
        if path.startswith("zoning/desk/") and isinstance(node, ast.JoinedStr)
        if any(isinstance(one, ast.Constant) and "<" in str(one.value) for one in node.values)
        for one in node.values
        if isinstance(one, ast.FormattedValue)
    ]
    assert pieces
    unescaped = [one for one in pieces if not one[2].startswith(("escape(", "quote(")) and one[2] not in OWN]
    assert unescaped == []
