"""The stratified tank once more, in plain Python: a stack of two bodies of water that are drawn, filled and warmed.

Heat is in watt-hours, volume a share of the tank, `capacity` watt-hours for each kelvin of the whole.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass
class Zones:
    """A hot body of water over a cold one."""

    hot_c: float
    cold_c: float
    hot: float
    capacity: float
    top: float
    kept_hot: float = 0.0

    @property
    def mean(self) -> float:
        """Temperature of the tank if it were stirred."""
        return self.hot * self.hot_c + (1 - self.hot) * self.cold_c

    def rest(self, around: float, keep: float) -> None:
        """An hour of standing loss."""
        self.hot_c = around + keep * (self.hot_c - around)
        self.cold_c = around + keep * (self.cold_c - around)

    def mix(self, kept: float) -> None:
        """Let the bodies mix over an hour; they are one where the hot one is no warmer."""
        mean = self.mean
        self.hot_c, self.cold_c = mean + kept * (self.hot_c - mean), mean + kept * (self.cold_c - mean)
        if self.hot * (self.hot_c - self.cold_c) <= 1e-9:
            self.hot, self.hot_c, self.cold_c = 0.0, mean, mean

    def hour(
        self,
        call: float,
        taps: tuple[float, float, float] | None,
        way: tuple[float, float, float],
        sources: list[Any],
        order: list[int],
        t: int,
        loaded: Callable,
        limit: float,
    ) -> tuple[list[float], list[float], list[float], float, float, float]:
        """Fires, the sun, the taps, the call, then what is stored: heat, dumped, available by source, delivered, drawn at taps, duty."""
        heat, able = [0.0] * len(sources), [0.0] * len(sources)
        sink, resistance, _ = way
        space = (self.top - self.mean) * self.capacity
        need = max(sink + call * resistance, taps[1] if taps else -1e9)
        bodies = ((self.hot, self.hot_c), (1 - self.hot, self.cold_c))
        held = self.capacity * sum(part * max(0.0, at - need) for part, at in bodies)
        fires = [i for i, s in enumerate(sources) if s.burn_power]
        suns = [i for i, s in enumerate(sources) if s.must_run and not s.burn_power]
        others = [i for i in order if i not in fires and i not in suns]
        for i in fires:  # all are loaded before any burns
            sources[i].fuel_left += loaded(sources, i, t, space * 3600.0, held * 3600.0)
        for i in fires:
            source = sources[i]
            able[i] = min(source.burn_power, source.fuel_left / 3600.0)
            source.fuel_left = max(0.0, source.fuel_left - able[i] * 3600.0)
            heat[i] = min(able[i], max(0.0, space + call + (taps[0] if taps else 0.0) - sum(heat)))
        burnt = sum(heat)
        for i in suns:
            room = min(space, space + call + (taps[0] if taps else 0.0) - burnt) - sum(heat[j] for j in suns)
            heat[i], able[i] = self.shine(sources[i].capacity[t], sources[i].slope, max(0.0, room))
        helpers = [(i, sources[i].capacity[t]) for i in others]
        use, use_need, use_cold = taps or (0.0, 0.0, 0.0)
        used = 0.0
        # storing sources work anyhow, and what they make goes to what is drawn before the store does
        top_c = self.hot_c if self.hot > 1e-9 else self.cold_c
        first = {
            i: watts
            for i, watts in helpers
            if sources[i].target[t] > -500 and top_c <= min(self.top, max(need, sources[i].target[t])) + 1e-9
        }
        ready = burnt + sum(first.values())
        idle = sum(watts for _, watts in helpers) - sum(first.values())
        at_taps, made = min(ready, use), 0.0
        if use:
            span = (use_need - use_cold) / use
            drawn, made, _ = self.serve(use, (use_cold, span, span), at_taps, ready + idle)
            used = drawn + made
        fire = min(ready - at_taps, call)
        rest = max(0.0, ready - at_taps - fire) + max(0.0, idle - (made - at_taps))
        drawn, lifted, duty = self.serve(call, way, fire, fire + rest, limit)
        delivered, lifted = drawn + lifted, lifted + made
        by_fire = min(burnt, lifted)
        must = min(fire + at_taps - by_fire, lifted - by_fire)
        left, stored, goals = lifted - by_fire, burnt - by_fire, (burnt - by_fire) * self.top
        for i in first:
            first[i] = min(first[i], must)
            must, left = must - first[i], left - first[i]
        hold_c, held = min(self.top, use_need), 0.0
        bodies = ((self.hot, self.hot_c), (1 - self.hot, self.cold_c))
        for i, watts in helpers:
            begun = first.get(i, 0.0)
            able[i], gives = watts, begun + min(watts - begun, max(0.0, left))
            left -= gives - begun
            heat[i] = gives
            if sources[i].target[t] > -500:
                goal = min(self.top, max(need, sources[i].target[t]))
                room = self.capacity * sum(part * max(0.0, goal - at) for part, at in bodies) - stored
                charges = min(watts - gives, max(0.0, room))
                charges = charges if charges > 1e-9 else 0.0
                heat[i] += charges
                stored, goals = stored + charges, goals + charges * goal
            elif taps:  # what may not store keeps the top hot
                lacks = min(self.lacking(hold_c))
                charges = min(watts - gives, max(0.0, self.capacity * lacks - stored))
                charges = charges if charges > 1e-9 else 0.0
                heat[i] += charges
                stored, goals, held = stored + charges, goals + charges * hold_c, held + charges
        if stored > 1e-9:
            anew = held > 0 and self.anew(hold_c)
            raised = 0.0 if anew else self.keep_hot(held, hold_c)
            self.charge(stored - raised, goals / stored, need, stirs=anew or stored - held > 1e-9)
        dumped = [able[i] - heat[i] if i in fires or i in suns else 0.0 for i in range(len(sources))]
        return heat, dumped, able, delivered, used, duty

    def shine(self, most: float, slope: float, space: float) -> tuple[float, float]:
        """Sun into the cold water, or into all of it once that is as warm as the hot one."""
        if most <= 0:
            return 0.0, 0.0
        cold = (1 - self.hot) * self.capacity
        alone = (cold * self.cold_c + most) / (cold + slope) if cold + slope > 0 else float("inf")
        meets = alone if alone <= self.hot_c else (self.capacity * self.mean + most) / (self.capacity + slope)
        able = max(0.0, most - slope * meets)
        used = min(able, space)
        if used and (cold <= 0 or self.cold_c + used / cold > self.hot_c):
            self.hot_c = self.cold_c = self.mean + used / self.capacity
            self.hot = 0.0
        elif used:
            self.cold_c += used / cold
        return used, able

    def serve(
        self, call: float, way: tuple[float, float, float], fire: float, most: float, limit: float = float("inf")
    ) -> tuple[float, float, float]:
        """Heat drawn from the tank, heat that what runs adds on the way to the floor, and the share of the hour that takes."""
        sink, resistance, drop = way
        left, drawn, lifted, duty = 1.0, 0.0, 0.0, 0.0
        if self.hot <= 1e-9:
            self.hot, self.hot_c = 1.0, self.cold_c
        for hot_one in (True, False):
            at, part = (self.hot_c, self.hot) if hot_one else (self.cold_c, 1 - self.hot)
            lift = min(call, max(0.0, (sink + call * resistance - at) / drop))
            gives = max(fire, min(most, lift))
            # supply is the tank's water plus the lift at the floor's flow; what the floor takes goes with supply over sink
            could = (at + drop * gives - sink) / resistance
            total = min(call, max(gives, could))
            part_of_hour = min(1.0, call / min(could, limit)) if could > 0 else 1.0
            takes, back = total - gives, sink + total * (resistance - drop)
            holds = part * self.capacity * max(0.0, at - back)
            time = left if takes * left <= holds else holds / takes
            moved = min(part, time * takes / (self.capacity * (at - back))) if at > back else 0.0
            if hot_one and moved > 0:
                under = 1 - self.hot
                self.hot -= moved
                self.cold_c = (under * self.cold_c + moved * back) / (under + moved)
            elif not hot_one and time * takes > 0:
                self.cold_c -= time * takes / (self.capacity * (1 - self.hot))
            left, drawn, lifted = left - time, drawn + time * takes, lifted + time * gives
            duty += time * part_of_hour
        if 1 - self.hot <= 1e-9:
            self.hot, self.cold_c = 0.0, self.hot_c
        return drawn, lifted + left * min(call, max(fire, most)), duty + left

    def lacking(self, goal: float) -> tuple[float, float]:
        """What a top of the part that is kept hot lacks [K of the whole tank]: warmed in its place, and made anew of all water."""
        there = self.hot * max(0.0, goal - self.hot_c) + max(0.0, self.kept_hot - self.hot) * max(
            0.0, goal - self.cold_c
        )
        return there, self.kept_hot * max(0.0, goal - self.mean) if self.hot_c < goal else float("inf")

    def anew(self, goal: float) -> bool:
        """Whether to make it anew takes less."""
        there, anew = self.lacking(goal)
        return anew < there

    def keep_hot(self, held: float, goal: float) -> float:
        """Warm the hot body in its place as far as `goal`, and give the heat that goes into it."""
        lift = self.hot * self.capacity * max(0.0, goal - self.hot_c)
        if lift > 0 and held >= lift:
            self.hot_c = goal
        elif lift > 0:
            self.hot_c += held / (self.hot * self.capacity)
        return min(held, lift)

    def charge(self, heat: float, goal: float, need: float, *, stirs: bool) -> None:
        """Take water from the bottom to the top at `goal`."""
        if self.hot_c < min(need, goal) and stirs:
            self.cold_c, self.hot = self.mean, 0.0
        under = 1 - self.hot
        moved = min(under, heat / (self.capacity * (goal - self.cold_c))) if goal > self.cold_c else under
        used = moved * (goal - self.cold_c) * self.capacity
        grown = self.hot + moved
        self.hot_c = (self.hot * self.hot_c + moved * goal) / grown + (heat - used) / (self.capacity * grown)
        self.hot = grown
