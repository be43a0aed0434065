"""What a folder says otherwise: all of it, and each thing once."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given
from hypothesis import strategies as st

from engine.knowledge.changes import changes, entries_of
from tests.engine.knowledge.test_layers import changed, good, write


@given(st.data())
def test_carried_out_on_the_former_entries_the_changes_give_the_present_ones(data: st.DataObject) -> None:
    above = data.draw(changed(good()))
    with TemporaryDirectory() as place:
        before, after = (entries_of(write(Path(place) / name, said)) for name, said in (("a", good()), ("b", above)))
        found = changes(before, after)
    told = {key: dict(written.data) for key, written in before.items()}
    entries = {(one.kind, one.id): one for one in found if not one.field}
    for key, one in entries.items():
        if one.what == "takes_away":
            del told[key]
        else:
            told[key] = dict(one.now)
    fields = {(one.kind, one.id, one.field.split(".")[0]) for one in found if one.field}
    assert len(found) == len({(one.kind, one.id, one.field) for one in found})
    assert told.keys() == after.keys()
    for key, written in after.items():
        differ = {name for name in {*told[key], *written.data} if told[key].get(name) != written.data.get(name)}
        assert {(*key, name) for name in differ} == {one for one in fields if one[:2] == key}
    assert changes(after, after) == ()
