"""Options such as "variety=Hybrid": which role of a file's column is told what. Knows no file and no role."""

from collections.abc import Callable, Iterable, Mapping

from zoning.errors import SETTINGS, InputError

RoleFault = Callable[[str], tuple[str, str] | None]


def read(
    option: str, typed: Iterable[str], example: str, role_fault: RoleFault, faults: list[InputError]
) -> dict[str, str]:
    """Read texts of a role, an equals sign and a value.

    Parameters
    ----------
    option : str
        By which they were typed.
    typed : iterable of str
    example : str
        One that would be right.
    role_fault : callable
        Says what is wrong with a role and how to mend it; None where it is one.
    faults : list of InputError
        Gets what is wrong with one.

    Examples
    --------
    >>> read("--column", ("variety = Hybrid", "date="), "date=Day", lambda role: None, [])
    {'variety': 'Hybrid', 'date': ''}
    """
    found: dict[str, str] = {}
    for text in typed:
        role, sign, value = (part.strip() for part in text.partition("="))
        where = f"{option} {text}"
        said = role_fault(role) if sign else None
        if not sign:
            faults.append(fault(where, "an equals sign is missing", f"Write it as {option} {example}."))
        elif said is not None:
            faults.append(fault(where, *said))
        elif role in found:
            faults.append(fault(where, f"{role} is given twice", "Keep one of them."))
        else:
            found[role] = value
    return found


def twice(columns: Mapping[str, str]) -> list[InputError]:
    """Refuse a column that is named for two roles."""
    roles: dict[str, list[str]] = {}
    for role, name in columns.items():
        if name:
            roles.setdefault(name.casefold(), []).append(role)
    mend = "Name another column for one of them."
    return [
        fault("--column", f'"{columns[of[0]]}" is named for {" and ".join(of)}', mend)
        for of in roles.values()
        if len(of) > 1
    ]


def fault(where: str, what: str, mend: str) -> InputError:
    """Give a fault of the command line."""
    return InputError(what, where=where, mend=mend, code=SETTINGS)
