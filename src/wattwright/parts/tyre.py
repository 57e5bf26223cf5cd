"""From what is printed on a tyre to the rolling radius."""

import re
from typing import Final

from wattwright.errors import InputError
from wattwright.units import Metre, metres_from_mm

SIZE_FORM: Final = r"^\s*(\d{2,3})\s*-\s*(\d{3})\s*$"


def wheel_radius_from_tyre(size: str) -> Metre:
    """Rolling radius by the ETRTO size on the tyre's side: width and bead seat diameter in millimetres.

    Args:
        size: "47-622". Width 18 to 130, bead seat 200 to 640.

    Returns:
        Half the nominal outer diameter. [m] A loaded tyre rolls out 1 to 2 % less.

    Raises:
        InputError: If the text is no such size.

    Notes:
        Outer diameter = bead seat diameter + 2 × width, within 1.5 %. [1]_

    References:
        .. [1] ISO 5775-1, tyre designation; the rule of thumb is common practice, reference row B4.

    Examples:
        >>> wheel_radius_from_tyre("37-622")
        0.348
    """
    found = re.match(SIZE_FORM, size)
    wanted = 'a size in the form "47-622": width 18 to 130, bead seat 200 to 640, in mm'
    if found is None:
        raise InputError("tyre", size, wanted, "It is printed on the tyre's side.")
    width, bead_seat = int(found[1]), int(found[2])
    if not (18 <= width <= 130 and 200 <= bead_seat <= 640):
        raise InputError("tyre", size, wanted, "It is printed on the tyre's side.")
    return metres_from_mm((bead_seat + 2 * width) / 2)
