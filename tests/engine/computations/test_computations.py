"""The catalogue: its names and keys, what it refuses and in which words, and how honest its text is."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.computations import CATALOGUE, ComputationError, compute, usage
from engine.knowledge.properties import OCCASIONS
from engine.quantities.units import is_unit
from tests.example_counts import up_to

# What scripts rely on: name, keys, results.
CONTRACT = """
salt-dose: volume now target purity bag -> salt_kg bags
dilute: volume now target fill -> drain_m3 overflow_m3
salt-from-conductivity: conductivity temp -> practical_salinity salt_ppm
conductivity-from-salt: salinity temp -> conductivity_ms_cm
chlorine-output: current gaps efficiency temp -> chlorine_g_h hydrogen_l_h
current-for: chlorine gaps efficiency -> current_a
chlorine-balance: volume demand rate hours -> need_g_day full_hours output_percent carries
sun-half-life: ph temp -> minutes
pool-volume: shape length width width2 diameter depth shallow deep -> volume_m3
hocl: ph temp -> fraction
free-chlorine-split: ph fc cya temp model -> hocl_mg_l free_mg_l
carbonate-alkalinity: ta cya ph -> carbonate_mg_l
scaling: ph temp hardness ta cya salt -> index verdict
acid-mix: strength density water acid cell -> percent mol_l acid_ml water_ml
acid-dose: volume ph target ta cya temp salt hardness -> hcl_31_ml dry_acid_g ph_note
soda-ash: volume ph target ta cya temp salt hardness -> soda_ash_g
alkalinity-up: volume by -> bicarbonate_kg
alkalinity-down: volume by -> hcl_31_l
hardness-up: volume by -> calcium_chloride_kg dihydrate_kg
stabiliser-up: volume by -> cyanuric_acid_kg
chlorine-up: volume by strength form -> product_l
chlorine-down: volume now target -> thiosulfate_g
spent-acid: litres percent -> bicarbonate_g
volume-from-salt: salt before after -> volume_m3
chlorine-decay: now half_life hours -> left_ppm
turnovers: volume flow hours -> turnovers mixed_share
cell-current: current salinity temp salinity2 temp2 -> current_a
cell-health: voltage current salinity temp gaps voltage0 clean -> constant_per_m ratio verdict
wear: hours shape scale further -> survival conditional_survival mean_h b10_h
cable-drop: length current area temp voltage -> drop_v drop_table_v percent
transformer: voltage current efficiency power_factor mains -> va mains_a
cleaning-interval: hardness index since -> months due_in_months reason
gas-in-cell: current gaps cell temp -> minutes_to_fill
"""
ROWS = CONTRACT.strip().splitlines()


def example(name: str) -> dict[str, str]:
    return dict(pair.split("=") for pair in CATALOGUE[name].example.split())


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.partition(":")[0])
def test_a_computation_keeps_its_name_keys_and_results(row: str) -> None:
    name, _, rest = row.partition(": ")
    keys, _, results = rest.partition(" -> ")
    assert set(keys.split()) == {key.name for key in CATALOGUE[name].keys}
    assert set(results.split()) <= set(compute(name, example(name)).results)


def test_the_contract_holds_the_whole_catalogue() -> None:
    assert {row.partition(":")[0] for row in ROWS} == set(CATALOGUE)


@pytest.mark.parametrize("name", CATALOGUE)
def test_every_computation_shows_working_source_and_known_cautions(name: str) -> None:
    entry, done = CATALOGUE[name], compute(name, example(name))
    assert 1 <= len(done.working) <= 3
    assert done.source
    assert done.notes
    assert set(done.occasions) <= set(OCCASIONS)
    assert all(not key.unit or is_unit(key.unit) for key in entry.keys)
    if entry.verdicts:
        assert done.results["verdict"] in entry.verdicts
    assert usage(entry).split()[0] == name


@pytest.mark.parametrize("name", CATALOGUE)
def test_leaving_out_any_required_key_names_it(name: str) -> None:
    for key in CATALOGUE[name].keys:
        given_values = {word: typed for word, typed in example(name).items() if word != key.name}
        if key.required:
            with pytest.raises(ComputationError, match=rf"{name} needs {key.name} .*for example: {name} "):
                compute(name, given_values)


REFUSED = [
    ("salt-dose", "volume=50 now=4000 target=3200",
     "salt-dose: target 3200 ppm is below the present 4000 ppm; "
     "salt can be removed only by replacing water: use dilute"),
    ("dilute", "volume=50 now=5000 target=3000 fill=3500",
     "dilute: fill water at 3500 ppm can never bring the pool to 3000 ppm; "
     "find fill water below the target, or set a higher target"),
    ("dilute", "volume=50 now=3000 target=3000",
     "dilute: target 3000 ppm is not below the present 3000 ppm; "
     "there is nothing to dilute; use salt-dose to raise salt"),
    ("cell-health", "voltage=2 current=3 salinity=3 temp=20",
     "cell-health: voltage 2 V is not above 1 x 2.2 V = 2.2 V, at which current begins; "
     "measure at the cell's own terminals and check the number of gaps"),
    ("conductivity-from-salt", "salinity=3 temp=40",
     "conductivity-from-salt: temperature 40 °C is outside -2 to 35 °C, where the formula holds; "
     "wait for warmer water, or cool the sample, and measure again"),
    ("conductivity-from-salt", "salinity=3200 temp=20",
     "conductivity-from-salt: practical salinity 3200 is outside 0 to 42, where the formula holds; "
     "for water at 3200 ppm, give it as 3.2 or as 3200 ppm"),
    ("hocl", "ph=15 temp=20", "ph: 15 is above 14; write it in pH, from 0 to 14"),
    ("hocl", "ph=-1 temp=20", "ph: -1 is below zero; write it in pH, from 0 to 14"),
    ("salt-dose", "volume=20000gal now=0 target=3200", "volume: there are two kinds of gallon; write usgal or impgal"),
    ("salt-dose", "volume=0 now=0 target=3200", "salt-dose: volume 0 m³ is not a valid size; give a volume above 0"),
    ("salt-dose", "volume=-5 now=0 target=3200", "volume: -5 is below zero; write it in m³, L, usgal or impgal"),
    ("salt-dose", "volume=50 now=1,200 target=3200",
     "now: 1,200 can be read as 1.2 ppm or as 1200 ppm; write it again without a thousands separator"),
    ("salt-dose", "volume=50 now=3bar target=3200",
     "now: bar measures pressure, but the question asks for salt now; write it in ppm, mg/L, g/L or %"),
    ("salt-dose", "volume=50 now=0 target=3200 purity=0",
     "salt-dose: purity 0 is out of range; use a value above 0, up to 1, or in %"),
    ("salt-dose", "volume=50 now=0 tagret=3200",
     "salt-dose has no key 'tagret'; did you mean target? it takes volume, now, target, purity, bag"),
    ("sal-dose", "volume=50", "there is no computation called 'sal-dose'; did you mean salt-dose?"),
    ("quux", "volume=50", "there is no computation called 'quux'; `brinecall compute --help` lists them"),
    ("fuse", "current=5",
     "a fuse rating is never computed; fit the rating and type marked on the unit, never a larger one"),
    ("free-chlorine-split", "ph=7.5 fc=3 cya=50 model=1947",
     "model=1947 is not known; did you mean 1974? use one of 1974, 2019"),
    ("chlorine-up", "volume=50 by=3 strength=65",
     "chlorine-up: strength 65 % is outside 0 to 25 %; for solid products use form=granules"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "typed", "line"), REFUSED, ids=[f"{row[0]} {row[1]}" for row in REFUSED])
def test_a_refusal_is_one_line_that_says_what_to_do_instead(name: str, typed: str, line: str) -> None:
    with pytest.raises(ComputationError) as caught:
        compute(name, dict(pair.split("=") for pair in typed.split()))
    assert str(caught.value) == line


def test_units_are_understood_as_people_type_them() -> None:
    done = compute("salt-dose", {"volume": "20000usgal", "now": "1.2g/L", "target": "0.32 %", "bag": "40 lb"})
    assert done.inputs["volume"] == pytest.approx(75.708, rel=1e-5)
    assert done.inputs["now"] == 1200
    assert done.inputs["target"] == 3200
    assert done.inputs["bag"] == pytest.approx(18.1437, rel=1e-5)
    assert compute("hocl", {"ph": "7,5", "temp": "68F"}).inputs == {"ph": 7.5, "temp": 20}


def test_defaults_stand_among_the_inputs_and_what_was_left_out_does_not() -> None:
    done = compute("cell-health", {"voltage": "7.5", "current": "20", "salinity": "3", "temp": "25"})
    assert done.inputs["gaps"] == 1
    assert done.inputs["voltage0"] == 2.2
    assert "clean" not in done.inputs
    assert done.results["ratio"] is None
    assert done.results["verdict"] == "no_clean_value"


def test_bags_are_rounded_up_and_the_text_says_how_far_over_that_goes() -> None:
    # 50 m3 by 2000 ppm is 100 kg: four bags of 25 kg exactly; by 2100 ppm it is 105 kg, and a fifth bag is 20 kg over.
    assert compute("salt-dose", {"volume": "50", "now": "1200", "target": "3200"}).results["bags"] == 4
    done = compute("salt-dose", {"volume": "50", "now": "1100", "target": "3200"})
    assert done.results["bags"] == 5
    assert "which is 400 ppm over the target, 3600 ppm" in done.working[1]


def test_the_text_is_as_coarse_as_the_answer_is_uncertain() -> None:
    split = compute("free-chlorine-split", {"ph": "7.5", "fc": "3", "cya": "50", "model": "2019"})
    assert "about 0.02 ppm is hypochlorous acid (constants of 2019)" in split.working[0]
    index = compute("scaling", {"ph": "7.8", "temp": "28", "hardness": "400", "ta": "120", "salt": "3500"})
    assert index.working[-1] == "index +0.5, give or take 0.1: scaling"
    output = compute("chlorine-output", {"current": "7"})
    assert output.notes[0] == "assumed: 1 gap in series, efficiency 0.8"
    salt = compute("salt-from-conductivity", {"conductivity": "6.5", "temp": "25"})
    assert any("1000 x practical salinity" in note for note in salt.notes)


def test_strengths_take_the_form_of_the_product() -> None:
    typed = {"volume": "50", "by": "3", "strength": "65", "form": "granules"}
    assert set(compute("chlorine-up", typed).results) == {"product_kg"}


def is_sound(name: str, typed: dict[str, str]) -> bool:
    """Whether a computation gives finite results and whole lines, or refuses in one line."""
    try:
        done = compute(name, typed)
    except ComputationError as error:
        return len(str(error).splitlines()) == 1
    finite = all(math.isfinite(value) for value in done.results.values() if isinstance(value, float))
    return finite and all(len(line.splitlines()) == 1 for line in (*done.working, *done.notes))


NUMBERS = st.one_of(
    st.floats(-10, 50_000).map(lambda number: f"{number:.4f}"), st.integers(-2, 20_000).map(str), st.text(max_size=8)
)


@settings(deadline=None, max_examples=up_to(400))
@given(st.data(), st.sampled_from(sorted(CATALOGUE)))
def test_anything_typed_gives_finite_results_or_one_clear_line(data: st.DataObject, name: str) -> None:
    typed = example(name)
    for key in data.draw(st.lists(st.sampled_from([key.name for key in CATALOGUE[name].keys]), max_size=3)):
        typed[key] = data.draw(NUMBERS)
    assert is_sound(name, typed)


def test_a_word_with_a_line_break_is_refused_in_one_line() -> None:
    with pytest.raises(ComputationError) as refused:
        compute("free-chlorine-split", {"ph": "7.5", "fc": "3", "cya": "50", "model": "19\n74"})
    assert str(refused.value).startswith("model=19 74 is not known")
