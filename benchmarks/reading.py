"""How fast ride files are read, and in how much memory."""

import tempfile
from functools import cache
from pathlib import Path

from benchmarks.harness import REPOSITORY, Case, benchmark
from wattwright.files.tracks import read_track, read_track_bytes

HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?><gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"'
    ' xmlns:a="urn:a"><trk><name>long</name><trkseg>\n'
)
TAIL = "</trkseg></trk></gpx>\n"
EXTENSIONS = (
    "    <extensions>\n     <power>180</power>\n     <a:TrackPointExtension>\n      <a:atemp>18</a:atemp>\n"
    "      <a:hr>111</a:hr>\n      <a:cad>80</a:cad>\n     </a:TrackPointExtension>\n    </extensions>\n"
)
LONG = 100_000
VERY_LONG = 1_000_000
LONG_FIT = REPOSITORY.parent / "shared" / "data" / "rides" / "huge-99998-records.fit"


def point(index: int, extensions: str) -> str:
    """A track point, one second and about three metres after the last, laid out as devices do."""
    hour, minute, second = index // 3600 % 24, index // 60 % 60, index % 60
    return (
        f'   <trkpt lat="{46.0 + index * 2e-5:.7f}" lon="{14.0 + index * 2e-5:.7f}">\n'
        f"    <ele>{300.0 + index % 500 / 10.0:.1f}</ele>\n"
        f"    <time>2024-05-{1 + index // 86400:02d}T{hour:02d}:{minute:02d}:{second:02d}Z</time>\n"
        f"{extensions}   </trkpt>\n"
    )


@cache
def long_gpx(extensions: str) -> bytes:
    """A GPX file of ``LONG`` points."""
    return (HEAD + "".join(point(index, extensions) for index in range(LONG)) + TAIL).encode()


@cache
def very_long_gpx() -> Path:
    """A GPX file of ``VERY_LONG`` points on disk, for as long as this process lives."""
    folder = tempfile.TemporaryDirectory()
    KEPT.append(folder)
    path = Path(folder.name) / "very-long.gpx"
    with path.open("w", encoding="utf-8") as file:
        file.write(HEAD)
        file.writelines(point(index, EXTENSIONS) for index in range(VERY_LONG))
        file.write(TAIL)
    return path


KEPT: list["tempfile.TemporaryDirectory[str]"] = []


@cache
def long_csv() -> bytes:
    """A table of ``LONG`` points."""
    rows = (
        f"{index},{46 + index * 2e-5:.7f},14.0,{300 + index % 500 / 10:.1f},180\n" for index in range(LONG)
    )
    return ("time_s,latitude_deg,longitude_deg,altitude_m,power_w\n" + "".join(rows)).encode()


def with_gpxpy() -> object:
    """The same points through an independent reader (which builds an object for each)."""
    import gpxpy  # noqa: PLC0415  a test-only library

    return gpxpy.parse(long_gpx(""))


@benchmark
def reading() -> list[Case]:
    """Whole files to a track."""
    cases = [
        Case(
            title="GPX, 100,000 points with height and time",
            run=lambda: read_track_bytes("long.gpx", long_gpx("")),
            reference=with_gpxpy,
            reference_title="gpxpy",
            reference_repeats=1,
            things=LONG,
            thing="point",
            aim_seconds=1.0,
        ),
        Case(
            title="GPX, 100,000 points with power, temperature, heart, cadence",
            run=lambda: read_track_bytes("long.gpx", long_gpx(EXTENSIONS)),
            things=LONG,
            thing="point",
            aim_seconds=1.0,
        ),
        Case(
            title="GPX, a million points with the same (309 MB)",
            run=lambda: read_track(very_long_gpx()),
            things=VERY_LONG,
            thing="point",
            repeats=1,
            warm_ups=0,
            aim_memory_mb=300.0,
        ),
        Case(
            title="CSV, 100,000 points",
            run=lambda: read_track_bytes("long.csv", long_csv()),
            things=LONG,
            thing="point",
        ),
    ]
    if LONG_FIT.exists():
        cases.append(
            Case(
                title="FIT, 99,998 records",
                run=lambda: read_track(LONG_FIT),
                things=99_998,
                thing="record",
                repeats=2,
                warm_ups=0,
            )
        )
    return cases
