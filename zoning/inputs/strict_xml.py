"""XML that somebody else wrote, walked through by a parser that follows nothing.

Refuses a document type or an entity, so that no file can unfold into a larger one or fetch another. Knows no
element.
"""

from xml.parsers import expat

from zoning.errors import InputError

Parser = expat.XMLParserType


def parser(file: str, never: str, *, has_namespaces: bool = False) -> Parser:
    """Give a parser that refuses what could harm; the caller sets what it does at elements.

    Parameters
    ----------
    file : str
        As the user calls it.
    never : str
        What such a file never needs these for, as "a GPX file".
    has_namespaces : bool
        Names come with their namespace and a space before them.
    """
    made = expat.ParserCreate(namespace_separator=" " if has_namespaces else None)

    def refuse(*_: object) -> None:
        raise InputError(
            f"the file has a document type or entities, which {never} never needs",
            where=f"{file}:{made.CurrentLineNumber}",
            mend="Export it again.",
        )

    made.StartDoctypeDeclHandler = refuse
    made.EntityDeclHandler = refuse
    return made


def walk(made: Parser, content: bytes, file: str, kind: str) -> None:
    """Walk through a file.

    Parameters
    ----------
    made : Parser
        Of `parser`, with what it does at elements.
    content : bytes
    file : str
        As the user calls it.
    kind : str
        What it should be, as "GPX".

    Raises
    ------
    InputError
        When it is no XML; and what the parser refuses.
    """
    try:
        made.Parse(content, True)
    except InputError:
        raise
    except expat.ExpatError as error:
        what = f"the file cannot be read as {kind} (line {error.lineno})"
        raise InputError(what, where=file, mend="Export it again.") from error
    except (LookupError, ValueError) as error:  # an encoding that nobody knows
        what = f"the file cannot be read as {kind}"
        raise InputError(what, where=file, mend="Export it again.") from error
