"""The channel router: everything is connected, nothing else is, and no two nets share a stretch."""

from __future__ import annotations

from collections.abc import Iterator

from hypothesis import given
from hypothesis import strategies as st

from renderers.sheets.route import Channel, Net, route

Segment = tuple[float, float, float, float, str]


@st.composite
def channels(draw: st.DrawFn) -> list[Net]:
    """Nets with pins in both rows, each column of a row used once."""
    count = draw(st.integers(1, 12))
    columns = [6 * n for n in range(40)]
    above = draw(st.permutations(columns))
    below = draw(st.permutations(columns))
    nets = []
    for number in range(count):
        ups = draw(st.integers(0, 3))
        downs = draw(st.integers(0 if ups > 1 else 2 - ups, 3))
        nets.append(
            Net(
                f"n{number}",
                tuple(sorted(above.pop() for _ in range(ups))),
                tuple(sorted(below.pop() for _ in range(downs))),
            )
        )
    return nets


def segments(channel: Channel) -> Iterator[Segment]:
    """Upright and level stretches, tracks one apart, the rows at -1 and at the number of tracks."""
    low = float(channel.tracks)
    for net, x in channel.straight.items():
        yield x, -1.0, x, low, net
    heights = {(t.net, x): t.track for t in channel.trunks for x in t.off}
    for trunk in channel.trunks:
        y = float(trunk.track)
        yield trunk.left, y, trunk.right, y, trunk.net
        yield from ((x, -1.0, x, y, trunk.net) for x in trunk.up)
        yield from ((x, y, x, low, trunk.net) for x in trunk.down)
        yield from ((x, y, x, float(heights[trunk.net, x]), trunk.net) for x in trunk.on)


@given(channels())
def test_no_two_nets_share_a_stretch(nets: list[Net]) -> None:
    found = list(segments(route(nets)))
    for index, (ax0, ay0, ax1, ay1, a) in enumerate(found):
        for bx0, by0, bx1, by1, b in found[index + 1 :]:
            if a == b:
                continue
            if ax0 == ax1 == bx0 == bx1:
                assert min(ay1, by1) < max(ay0, by0), (a, b, "upright")
            if ay0 == ay1 == by0 == by1:
                assert min(ax1, bx1) < max(ax0, bx0), (a, b, "level")
            if ax0 == ax1 and by0 == by1 and bx0 <= ax0 <= bx1:
                # A branch may cross another net's trunk, never end on it.
                assert by0 not in (ay0, ay1), (a, b, "touches")


@given(channels())
def test_every_pin_is_connected_to_its_net(nets: list[Net]) -> None:
    channel = route(nets)
    for net in nets:
        own = [s for s in segments(channel) if s[4] == net.key]
        points = {(s[0], s[1]) for s in own} | {(s[2], s[3]) for s in own}
        pins = {(float(x), -1.0) for x in net.above} | {(float(x), float(channel.tracks)) for x in net.below}
        assert pins <= {(float(x), y) for x, y in points}
        # All in one piece: spread from any segment over those that touch it.
        reached, todo = {0}, [0]
        while todo:
            x0, y0, x1, y1, _ = own[todo.pop()]
            for number, (u0, v0, u1, v1, _) in enumerate(own):
                meets = max(x0, u0) <= min(x1, u1) and max(min(y0, y1), min(v0, v1)) <= min(max(y0, y1), max(v0, v1))
                if number not in reached and meets:
                    reached.add(number)
                    todo.append(number)
        assert len(reached) == len(own)


def test_a_straight_net_takes_no_track() -> None:
    channel = route([Net("a", (12,), (12,)), Net("b", (30,), (30,))])
    assert (channel.tracks, channel.straight) == (0, {"a": 12, "b": 30})


def test_order_on_tracks_avoids_crossings() -> None:
    # Two wires to the right, nested: the one that starts further right must lie above.
    channel = route([Net("a", (0,), (60,)), Net("b", (30,), (90,))])
    track = {t.net: t.track for t in channel.trunks}
    assert track["b"] < track["a"]


def test_a_circle_is_broken_by_a_dogleg() -> None:
    channel = route([Net("a", (0,), (30,)), Net("b", (30,), (0,))])
    doubled = [net for net in ("a", "b") if sum(t.net == net for t in channel.trunks) == 2]
    assert len(doubled) == 1
