"""Heights on a page: nothing meets, rows are straight where there is room, and no room is wasted where there is none."""

from __future__ import annotations

import math

from hypothesis import given
from hypothesis import strategies as st

from renderers.sheets.stack import AIR, TRACK, Item, stack


def box(left: float, right: float, high: float, level: int) -> Item:
    return Item(left, right, high, level)


def track(left: float, right: float, level: int) -> Item:
    return Item(left, right, -1.0, level)


def test_boxes_of_a_row_stand_at_one_height_where_there_is_room() -> None:
    items = [box(0, 40, 30, 0), box(60, 100, 80, 0), box(0, 40, 10, 1), box(60, 100, 10, 1)]
    ys, high = stack(items, math.inf)
    assert ys == [0, 0, 80 + AIR, 80 + AIR]
    assert high == 90 + AIR


def test_a_tall_box_holds_up_only_what_stands_under_it_where_there_is_none() -> None:
    items = [box(0, 40, 30, 0), box(60, 100, 80, 0), box(0, 40, 60, 1), box(60, 100, 10, 1)]
    ys, high = stack(items, 0)
    assert high == 90 + AIR, "the least that can be"
    assert ys[2] == 30 + AIR
    assert ys[3] == 80 + AIR


def test_tracks_keep_their_distance_from_boxes_and_from_each_other() -> None:
    items = [box(0, 40, 30, 0), track(20, 80, 1), track(20, 60, 2), box(50, 90, 10, 3)]
    ys, high = stack(items, math.inf)
    assert ys == [0, 30 + AIR, 30 + AIR + TRACK, 30 + 2 * AIR + TRACK]
    assert high == ys[3] + 10


def test_nothing_makes_no_height() -> None:
    assert stack([], math.inf) == ([], 0.0)


@st.composite
def rows(draw: st.DrawFn) -> list[Item]:
    """Levels of boxes or of tracks that share no column within a level."""
    items: list[Item] = []
    for level in range(draw(st.integers(1, 7))):
        is_track = draw(st.booleans())
        x = draw(st.integers(0, 8)) * 6
        for _ in range(draw(st.integers(1, 4))):
            wide = draw(st.integers(2, 12)) * 6
            items.append(track(x, x + wide, level) if is_track else box(x, x + wide, draw(st.integers(5, 90)), level))
            x += wide + draw(st.integers(2, 6)) * 6
    return items


@given(rows(), st.integers(0, 900))
def test_nothing_meets_and_the_order_stays(items: list[Item], limit: int) -> None:
    ys, high = stack(items, limit)
    least = stack(items, 0)[1]
    assert high <= max(limit, least) + 1e-6
    for one, top in zip(items, ys, strict=True):
        assert top >= 0
        assert top + max(one.high, 0) <= high + 1e-6
        for other, below in zip(items, ys, strict=True):
            if one.level < other.level and one.left < other.right and other.left < one.right:
                way = TRACK if one.is_track and other.is_track else AIR
                assert below - top >= max(one.high, 0) + way - 1e-6
