"""Fixing files: the shelf as shipped, own fixings, rules with their sources, and bad input."""

from itertools import pairwise
from pathlib import Path

import pytest

from wattwright.errors import InputError, NotInCatalogueError, WattwrightError
from wattwright.files.fixing_file import RULES, SHIPPED, fastener_strengths, load_shelf
from wattwright.parts.fixing import FixingKind, Insert, Material
from wattwright.working import Standing


def test_the_shelf_comes_in_si() -> None:
    shelf = load_shelf()

    assert shelf.bands["hoop-small"].longest == pytest.approx(0.150)
    assert shelf.plates["shim-5"].steps[0] == pytest.approx(-0.030)
    assert shelf.plates["shim-5"].mass_per_metre == pytest.approx(0.378)
    assert shelf.straps["webbing-25"].longest == pytest.approx(0.600)
    assert shelf.screws["m5x12-a2"].length == pytest.approx(0.012)
    assert shelf.rules.scatter == pytest.approx(0.70)
    assert shelf.rules.largest_overhang == pytest.approx(0.60)


def test_bands_cover_usual_tubes_without_a_gap_between_them() -> None:
    bands = sorted(load_shelf().bands.values(), key=lambda band: band.shortest)

    assert all(one.longest > other.shortest for one, other in pairwise(bands))


def test_every_screw_of_the_shelf_has_a_strength() -> None:
    shelf = load_shelf()
    for screw in shelf.screws.values():
        assert shelf.strength(screw.thread, screw.property_class).proof_force > 0


def test_what_is_forbidden_is_data_with_a_standing() -> None:
    shelf = load_shelf()
    forbidden = {(rule.kind, rule.material) for rule in shelf.rules.prohibitions}

    assert (FixingKind.BANDS, Material.CARBON) in forbidden
    assert (FixingKind.PLATE_ON_BANDS, Material.CARBON) in forbidden
    assert (FixingKind.STRAPS, Material.CARBON) not in forbidden
    assert all(rule.source.standing in Standing for rule in shelf.rules.prohibitions)


def test_riveted_and_moulded_inserts_are_tightened_less() -> None:
    """Bottle bosses 3 to 5 N·m in metal, 2 to 3 in carbon and riveted inserts: trade practice (memory)."""
    shelf = load_shelf()

    assert 3 <= shelf.boss_rule(Insert.BRAZED, Material.STEEL).torque <= 5
    assert 2 <= shelf.boss_rule(Insert.RIVETED, Material.ALUMINIUM).torque <= 3
    assert 2 <= shelf.boss_rule(Insert.MOULDED, Material.CARBON).torque <= 3


def test_own_fixings_add_to_the_shelf_and_replace(tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    own.write_text(
        '[origin]\ntext = "data sheet"\nstanding = "maker\'s data sheet"\n'
        '[[strap]]\nname = "webbing-25"\ntitle = "Longer strap"\nwidth_mm = 25\nlongest_mm = 900\n'
        "working_force_n = 250\nmass_kg = 0.05\nprice = 5\n",
        encoding="utf-8",
    )
    shelf = load_shelf([own])

    assert shelf.straps["webbing-25"].longest == pytest.approx(0.900)
    assert "hoop-small" in shelf.bands


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("shortest_mm = 95.0", "shortest_mm = 160.0", "below longest_mm"),
        ("width_mm = 9.0", "width_mm = 0.35", "was meant in cm, write 3.5. If in inches, write 8.89."),
        ("thickness_mm = 0.6", "thickness_mm = -0.6", "0.2 to 5 mm"),
        ('thread = "M5x0.8"', 'thread = "M5"', "thread"),
        ("torque_nm = 3.0", "", "torque_nm is missing"),
        ("steps_mm = [-30.0", "steps_mm = [-3000.0", "steps_mm"),
    ],
)
def test_a_slip_in_a_fixing_is_named(tmp_path: Path, old: str, new: str, said: str) -> None:
    text = SHIPPED.read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "own.toml"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(WattwrightError) as refused:
        load_shelf([path])

    assert said in str(refused.value)
    assert str(refused.value).startswith(str(path))


def test_a_rule_without_its_source_is_refused(tmp_path: Path) -> None:
    text = RULES.read_text(encoding="utf-8")
    start = text.index("[sources.friction]")
    path = tmp_path / "rules.toml"
    path.write_text(text[:start] + text[text.index("[sources.torque_factor]") :], encoding="utf-8")

    with pytest.raises(InputError, match=r"sources is 'friction'; it must be a source for every figure"):
        load_shelf(rules=path)


def test_a_damaged_table_of_screws_is_said(tmp_path: Path) -> None:
    for suffix in (".csv", ".source.toml"):
        shipped = RULES.parent.parent / "fasteners" / f"metric-screws{suffix}"
        (tmp_path / f"screws{suffix}").write_bytes(shipped.read_bytes().replace(b"4400", b"much"))

    with pytest.raises(WattwrightError, match="damaged"):
        fastener_strengths(tmp_path / "screws.csv")


def test_an_unknown_screw_names_the_known_ones() -> None:
    with pytest.raises(NotInCatalogueError, match=r"M5x0\.8 9\.9"):
        load_shelf().strength("M5x0.8", "9.9")
