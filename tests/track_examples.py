"""Small ride files made on the spot, so that every form can be tested without the real data."""

import struct
from collections.abc import Sequence

FIT_EPOCH = 631065600
SEMICIRCLES_PER_DEGREE = 2**31 / 180.0

POINTS = (
    # latitude, longitude, altitude, seconds after the first point, power, temperature in °C
    (46.10000, 14.80000, 300.0, 0, 120, 15),
    (46.10010, 14.80020, 300.6, 2, 130, 15),
    (46.10020, 14.80040, 301.2, 4, 0, 16),
    (46.10030, 14.80060, 301.8, 6, 210, 16),
)
START = 1_715_934_600
"""2024-05-17 08:30:00 UTC."""


def gpx_point(latitude: float, longitude: float, inner: str = "") -> str:
    """One track point."""
    return f'<trkpt lat="{latitude}" lon="{longitude}">{inner}</trkpt>'


def gpx_with(points: str, head: str = "", version: str = "1.1") -> str:
    """A GPX file of one track with these points."""
    space = f"http://www.topografix.com/GPX/{version.replace('.', '/')}"
    return f'<gpx version="{version}" xmlns="{space}">{head}<trk><trkseg>{points}</trkseg></trk></gpx>'


def gpx() -> str:
    """The four points as GPX."""
    return gpx_with(
        "".join(
            gpx_point(
                latitude,
                longitude,
                f"<ele>{altitude}</ele><time>2024-05-17T08:30:{second:02d}Z</time><extensions>"
                f'<power>{power}</power><x:t xmlns:x="urn:x"><x:atemp>{warmth}</x:atemp></x:t></extensions>',
            )
            for latitude, longitude, altitude, second, power, warmth in POINTS
        )
    )


def tcx_point(index: int) -> str:
    """One of the four points as TCX; the distance is 20 m a point."""
    latitude, longitude, altitude, second, power, _warmth = POINTS[index]
    return (
        f"<Trackpoint><Time>2024-05-17T08:30:{second:02d}Z</Time><Position><LatitudeDegrees>{latitude}"
        f"</LatitudeDegrees><LongitudeDegrees>{longitude}</LongitudeDegrees></Position><AltitudeMeters>"
        f"{altitude}</AltitudeMeters><DistanceMeters>{20 * index}</DistanceMeters><Extensions>"
        f'<a:TPX xmlns:a="urn:a"><a:Speed>10.0</a:Speed><a:Watts>{power}</a:Watts></a:TPX></Extensions>'
        "</Trackpoint>"
    )


def tcx(laps: Sequence[Sequence[Sequence[int]]] = (((0, 1, 2, 3),),)) -> str:
    """Points as TCX: laps of tracks of indices into ``POINTS``."""
    inner = ""
    for lap in laps:
        tracks = ["<Track>" + "".join(map(tcx_point, track)) + "</Track>" for track in lap]
        inner += "<Lap>" + "".join(tracks) + "</Lap>"
    return (
        '<TrainingCenterDatabase xmlns="urn:tcx"><Activities><Activity Sport="Biking"><Id>x</Id>'
        f"{inner}</Activity></Activities></TrainingCenterDatabase>"
    )


def csv() -> str:
    """The four points as a table."""
    lines = [
        f"{latitude},{longitude},{altitude},2024-05-17T08:30:{second:02d}Z,{power},{warmth}"
        for latitude, longitude, altitude, second, power, warmth in POINTS
    ]
    return "\n".join(["latitude_deg,longitude_deg,altitude_m,time_utc,power_w,temperature_c", *lines, ""])


def fit_check_sum(data: bytes) -> int:
    """CRC-16 of the FIT protocol (polynomial 0x8005 reflected, start 0)."""
    check_sum = 0
    for byte in data:
        check_sum ^= byte
        for _bit in range(8):
            check_sum = (check_sum >> 1) ^ (0xA001 if check_sum & 1 else 0)
    return check_sum


def fit_definition(local: int, message: int, fields: Sequence[tuple[int, int, int]]) -> bytes:
    """A definition message, little-endian; fields as (number, size, base type)."""
    head = struct.pack("<BBBHB", 0x40 | local, 0, 0, message, len(fields))
    return head + b"".join(struct.pack("BBB", *field) for field in fields)


FILE_ID = fit_definition(0, 0, [(0, 1, 0x00)])
RECORD = fit_definition(
    1, 20, [(253, 4, 0x86), (0, 4, 0x85), (1, 4, 0x85), (2, 2, 0x84), (7, 2, 0x84), (13, 1, 0x01)]
)
EVENT = fit_definition(2, 21, [(253, 4, 0x86), (0, 1, 0x00), (1, 1, 0x00)])
SESSION = fit_definition(3, 18, [(5, 1, 0x00), (6, 1, 0x00)])
PROFILE = fit_definition(4, 3, [(4, 2, 0x84)])


def fit_record(point: tuple[float, float, float, int, int, int]) -> bytes:
    """One point as a FIT record."""
    latitude, longitude, altitude, second, power, warmth = point
    return struct.pack(
        "<BIiiHHb",
        1,
        START + second - FIT_EPOCH,
        round(latitude * SEMICIRCLES_PER_DEGREE),
        round(longitude * SEMICIRCLES_PER_DEGREE),
        round((altitude + 500.0) * 5.0),
        power,
        warmth,
    )


def fit_event(kind: int) -> bytes:
    """The timer: 0 starts it, 4 stops it."""
    return struct.pack("<BIBB", 2, START - FIT_EPOCH, 0, kind)


def fit_session(sport: int = 2, sub_sport: int = 0) -> bytes:
    """The summary; sport 2 is cycling."""
    return struct.pack("BBB", 3, sport, sub_sport)


def fit_profile(mass_kg: float) -> bytes:
    """The rider."""
    return struct.pack("<BH", 4, round(mass_kg * 10.0))


def fit_file(body: bytes, kind: int = 4) -> bytes:
    """Messages as a FIT file; kind 4 is an activity, 2 settings, 6 a course."""
    body = FILE_ID + bytes([0, kind]) + RECORD + EVENT + SESSION + PROFILE + body
    head = struct.pack("<BBHI4s", 14, 0x10, 2132, len(body), b".FIT")
    head += struct.pack("<H", fit_check_sum(head))
    return head + body + struct.pack("<H", fit_check_sum(head + body))


def fit() -> bytes:
    """The four points as a FIT activity."""
    return fit_file(b"".join(map(fit_record, POINTS)) + fit_session())
