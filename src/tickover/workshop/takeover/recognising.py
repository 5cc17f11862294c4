"""Which build an engine is of: by its serial, where the type sheet gives ranges, or as a person recognised it."""

from __future__ import annotations

from tickover.sheets import Build, TypeSheet
from tickover.workshop.takeover.refusal import TakeOverError


def build_by_serial(sheet: TypeSheet, serial: str) -> Build | None:
    """The build whose range holds this serial; the only build of a sheet that has one; None where neither says."""
    if serial.isascii() and serial.isdecimal() and (found := sheet.build_of_serial(int(serial))):
        return found
    return sheet.builds[0] if len(sheet.builds) == 1 else None


def chosen_build(sheet: TypeSheet, serial: str, build_id: str, *, confirmed: bool) -> Build:
    """The build that was named, or the one of the serial where none was.

    Raises TakeOverError where the serial is of no build, or of another one and that was not confirmed.
    """
    by_serial = build_by_serial(sheet, serial)
    if not build_id:
        if by_serial is None:
            raise TakeOverError(
                f"Serial {serial} does not say which build of {sheet.title} it is. Choose the build by its look.",
                "build",
            )
        return by_serial
    named = sheet.build(build_id)
    if by_serial is not None and by_serial.id != named.id and not confirmed:
        raise TakeOverError(
            f"Serial {serial} is of the build “{by_serial.title}”, not “{named.title}”. "
            "Choose that one, or tick that it was rebuilt.",
            "build",
        )
    return named
