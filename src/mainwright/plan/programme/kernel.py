"""List schedules and the search over lists: written once over indexable sequences of whole numbers.

Small problems run these functions as they stand, on lists; above a size that was measured they run through numba. Chance comes from a
generator of whole numbers that is written out here, so that both give the same schedule.
"""

from collections.abc import MutableSequence, Sequence
from typing import Final

__all__ = ["NOT_PLACED", "anneal", "list_schedule", "weigh"]

NOT_PLACED: Final = -1
"""Makespan where the list could not be placed within the horizon or the limit."""

_FIELDS: Final = 5
"""How many numbers describe a task: duration, earliest, one shift, fixed, section."""


def list_schedule(  # noqa: C901, PLR0912, PLR0915, PLR0917 a compiled function takes its arguments by place and calls nothing
    order: Sequence[int],
    sizes: Sequence[int],
    task: Sequence[int],
    need: Sequence[int],
    link: Sequence[int],
    table: Sequence[int],
    takes: Sequence[int],
    gives: Sequence[int],
    free: MutableSequence[int],
    start: MutableSequence[int],
    limit: int,
) -> int:
    """Place tasks one by one, each as early as it can be, in the order of a list, and return when the last one ends.

    Parameters
    ----------
    order : sequence of int
        The list; a task whose turn comes before it can be placed waits until it can. [-]
    sizes, task, need, link, table, takes, gives : sequence of int
        The problem, see `problem.flatten`. [-]
    free : mutable sequence of int
        What is free of each resource in each slot; changed. [-]
    start : mutable sequence of int
        Gets the start of each task. [slots]
    limit : int
        Give up as soon as a task ends after this. [slots]

    Returns
    -------
    int
        End of the last task, `NOT_PLACED` where the list cannot be placed. [slots]

    Notes
    -----
    Serial scheduling. What is taken by one task and given back by another is reserved to the horizon until the second one is placed;
    a task that cannot take now is passed over, and the list is tried again from its beginning when something was placed.
    """
    count, horizon, shift = sizes[0], sizes[2], sizes[3]
    latest = 0
    for one in range(count):
        start[one] = NOT_PLACED
    # What is fixed stands first, whatever the list says.
    left = count
    for one in range(count):
        fixed = task[one * _FIELDS + 3]
        if fixed >= 0:
            duration = task[one * _FIELDS]
            end = fixed + duration
            if end > horizon:
                return NOT_PLACED
            start[one] = fixed
            left -= 1
            latest = max(latest, end)
            for row in range(need[one], need[one + 1]):
                resource, amount = need[count + 1 + 2 * row], need[count + 2 + 2 * row]
                for slot in range(resource * horizon + fixed, resource * horizon + end):
                    free[slot] -= amount
            for row in range(takes[one], takes[one + 1]):
                resource, amount = takes[count + 1 + 2 * row], takes[count + 2 + 2 * row]
                for slot in range(resource * horizon + fixed, resource * horizon + horizon):
                    free[slot] -= amount
            for row in range(gives[one], gives[one + 1]):
                resource, amount = gives[count + 1 + 2 * row], gives[count + 2 + 2 * row]
                for slot in range(resource * horizon + end, resource * horizon + horizon):
                    free[slot] += amount
    first = 0
    while left > 0:
        placed = False
        place = first
        while place < count:
            one = order[place]
            place += 1
            if start[one] != NOT_PLACED:
                if place - 1 == first:
                    first += 1
                continue
            begin = task[one * _FIELDS + 1]
            ready = True
            for row in range(link[one], link[one + 1]):
                before = link[count + 1 + 2 * row]
                if start[before] == NOT_PLACED:
                    ready = False
                    break
                after = table[link[count + 2 + 2 * row] * (horizon + 1) + start[before] + task[before * _FIELDS]]
                begin = max(begin, after)
            if not ready:
                continue
            for row in range(takes[one], takes[one + 1]):
                resource, amount = takes[count + 1 + 2 * row], takes[count + 2 + 2 * row]
                base = resource * horizon
                if free[base + horizon - 1] < amount:
                    ready = False
                    break
                # Beyond the last end nothing changes any more.
                slot = min(latest, horizon - 1)
                while slot >= begin and free[base + slot] >= amount:
                    slot -= 1
                begin = max(begin, slot + 1)
            if not ready:
                continue
            duration = task[one * _FIELDS]
            one_shift = task[one * _FIELDS + 2] == 1 and shift > 0
            searching = True
            while searching:
                searching = False
                if one_shift and begin % shift + duration > shift:
                    begin = (begin // shift + 1) * shift
                end = begin + duration
                if end > horizon or end > limit:
                    return NOT_PLACED
                for row in range(need[one], need[one + 1]):
                    resource, amount = need[count + 1 + 2 * row], need[count + 2 + 2 * row]
                    slot = resource * horizon + end - 1
                    last = resource * horizon + begin
                    while slot >= last and free[slot] >= amount:
                        slot -= 1
                    if slot >= last:
                        begin = slot - resource * horizon + 1
                        searching = True
                        break
            end = begin + duration
            start[one] = begin
            left -= 1
            latest = max(latest, end)
            for row in range(need[one], need[one + 1]):
                resource, amount = need[count + 1 + 2 * row], need[count + 2 + 2 * row]
                for slot in range(resource * horizon + begin, resource * horizon + end):
                    free[slot] -= amount
            for row in range(takes[one], takes[one + 1]):
                resource, amount = takes[count + 1 + 2 * row], takes[count + 2 + 2 * row]
                for slot in range(resource * horizon + begin, resource * horizon + horizon):
                    free[slot] -= amount
            for row in range(gives[one], gives[one + 1]):
                resource, amount = gives[count + 1 + 2 * row], gives[count + 2 + 2 * row]
                for slot in range(resource * horizon + end, resource * horizon + horizon):
                    free[slot] += amount
            placed = True
            break
        if not placed:
            return NOT_PLACED
    return latest


def weigh(  # noqa: PLR0917 a compiled function takes its arguments by place
    sizes: Sequence[int], task: Sequence[int], members: Sequence[int], weights: Sequence[int], start: Sequence[int], makespan: int
) -> int:
    """Return the weight of a schedule: its makespan and every penalty.

    Parameters
    ----------
    sizes, task, members, weights : sequence of int
        The problem, see `problem.flatten`. [-]
    start : sequence of int
        Of each task. [slots]
    makespan : int
        End of the last. [slots]

    Returns
    -------
    int
        The weight. [slots]
    """
    horizon, penalties = sizes[2], sizes[4]
    weight = makespan
    for one in range(penalties):
        last = 0
        for row in range(members[one], members[one + 1]):
            member = members[penalties + 1 + 2 * row]
            last = max(last, start[member] + task[member * _FIELDS])
        weight += weights[one * (horizon + 1) + last]
    return weight


def anneal(  # noqa: C901, PLR0912, PLR0915, PLR0917 a compiled function takes its arguments by place
    order: MutableSequence[int],
    sizes: Sequence[int],
    task: Sequence[int],
    need: Sequence[int],
    link: Sequence[int],
    table: Sequence[int],
    takes: Sequence[int],
    gives: Sequence[int],
    capacity: Sequence[int],
    members: Sequence[int],
    weights: Sequence[int],
    free: MutableSequence[int],
    start: MutableSequence[int],
    best: MutableSequence[int],
    trial: MutableSequence[int],
    state: MutableSequence[int],
    rounds: int,
    lowest: int,
) -> int:
    """Search better lists by annealing, and return the least weight found.

    Parameters
    ----------
    order : mutable sequence of int
        The list to begin with; at the end the one that was taken last. [-]
    sizes, task, need, link, table, takes, gives, capacity, members, weights : sequence of int
        The problem, see `problem.flatten`. [-]
    free, start, best, trial : mutable sequence of int
        Room to work in; ``best`` gets the best starts. [slots]
    state : mutable sequence of int
        State of the generator; then the weight of the list now (0: not known), the best weight so far (0: none), round, and rounds in all. [-]
    rounds : int
        Lists to try now. [-]
    lowest : int
        Stop where the weight is down to this: it is proven. [slots]

    Returns
    -------
    int
        Least weight so far; 0 where no list could be placed. [slots]
    """
    count, horizon = sizes[0], sizes[2]
    if state[2] == 0:
        free[:] = capacity
        makespan = list_schedule(order, sizes, task, need, link, table, takes, gives, free, start, horizon)
        if makespan == NOT_PLACED:
            return 0
        state[1] = state[2] = weigh(sizes, task, members, weights, start, makespan)
        for one in range(count):
            best[one] = start[one]
    span = task[(count - 1) * _FIELDS + 4] + 1
    for one in range(count):
        span = max(span, task[one * _FIELDS + 4] + 1)
    for _ in range(rounds):
        if state[2] <= lowest:
            return state[2]
        state[3] += 1
        # Linear congruential generator with the constants of ISO C's example, high bits used.
        state[0] = (state[0] * 1103515245 + 12345) % 2147483648
        kind = (state[0] >> 16) % 10
        state[0] = (state[0] * 1103515245 + 12345) % 2147483648
        one = (state[0] >> 8) % count
        state[0] = (state[0] * 1103515245 + 12345) % 2147483648
        other = (state[0] >> 8) % count
        if span > 1 and kind < 5:
            # All of one section goes before the first of another, or changes places with it.
            mine, its = task[order[one] * _FIELDS + 4], task[order[other] * _FIELDS + 4]
            if mine == its:
                continue
            fill = 0
            if kind < 3:
                moved = False
                for place in range(count):
                    section = task[order[place] * _FIELDS + 4]
                    if section == mine:
                        continue
                    if section == its and not moved:
                        moved = True
                        for again in range(count):
                            if task[order[again] * _FIELDS + 4] == mine:
                                trial[fill] = order[again]
                                fill += 1
                    trial[fill] = order[place]
                    fill += 1
            else:
                seen_mine = seen_its = False
                for place in range(count):
                    section = task[order[place] * _FIELDS + 4]
                    if section != mine and section != its:  # noqa: PLR1714 a compiled function makes no set
                        trial[fill] = order[place]
                        fill += 1
                        continue
                    wanted = -1
                    if section == mine and not seen_mine:
                        seen_mine, wanted = True, its
                    elif section == its and not seen_its:
                        seen_its, wanted = True, mine
                    if wanted >= 0:
                        for again in range(count):
                            if task[order[again] * _FIELDS + 4] == wanted:
                                trial[fill] = order[again]
                                fill += 1
        else:
            reach = 1 + (count - 1) * (kind + 1) // 20
            other = min(max(one + (other % (2 * reach + 1)) - reach, 0), count - 1)
            if one == other:
                continue
            for place in range(count):
                trial[place] = order[place]
            moving = trial[one]
            if one < other:
                for place in range(one, other):
                    trial[place] = trial[place + 1]
            else:
                for place in range(one, other, -1):
                    trial[place] = trial[place - 1]
            trial[other] = moving
        free[:] = capacity
        limit = min(horizon, state[2] + state[2] // 16 + 1)
        makespan = list_schedule(trial, sizes, task, need, link, table, takes, gives, free, start, limit)
        if makespan == NOT_PLACED:
            continue
        weight = weigh(sizes, task, members, weights, start, makespan)
        # The step up that is still taken shrinks to nothing by the end.
        state[0] = (state[0] * 1103515245 + 12345) % 2147483648
        chance = (state[0] >> 16) % 1024
        left = max(0, state[4] - state[3])
        slack = state[1] * left // max(1, state[4]) // 64 * chance // 1024
        if weight <= state[1] + slack:
            state[1] = weight
            for place in range(count):
                order[place] = trial[place]
            if weight < state[2]:
                state[2] = weight
                for place in range(count):
                    best[place] = start[place]
    return state[2]
