"""List schedules and the search over lists: written once over indexable sequences of whole numbers.

Small problems run these functions as they stand, on lists; above a size that was measured they run through numba. Chance comes from a
generator of whole numbers that is written out here, so that both give the same schedule. A problem and the room to work in are one
sequence each, which keeps the compiled calls short; `problem.flatten` says what stands where.
"""

from collections.abc import MutableSequence, Sequence
from typing import Final

from mainwright.plan.programme.problem import FIELDS

__all__ = ["NOT_PLACED", "anneal", "list_schedule", "put", "withdraw"]

NOT_PLACED: Final = -1
"""Start of a task that has none."""

_DURATION: Final = 0
_EARLIEST: Final = 1
_ONE_SHIFT: Final = 2
_FIXED: Final = 3
_SECTION: Final = 4
_TAIL: Final = 5
_WAITS: Final = 6
_NEEDS: Final = 7
_SPANS: Final = 8
_TAKES: Final = 9
_GIVES: Final = 10
_END: Final = 11

_LATER: Final = -1
"""A task cannot begin yet: it waits for another that has no start, or for what is held."""

_NEVER: Final = -2
"""A task cannot end within the limit."""


def _insert(room: MutableSequence[int], held: int, slot: int, change: int) -> None:
    """Let what is there of a held resource change from a slot on."""
    place = held + 2 + 2 * room[held]
    while place > held + 2 and room[place - 2] > slot:
        room[place], room[place + 1] = room[place - 2], room[place - 1]
        place -= 2
    room[place], room[place + 1] = slot, change
    room[held] += 1
    room[held + 1] += change


def _remove(room: MutableSequence[int], held: int, slot: int, change: int) -> None:
    """Undo `_insert`."""
    last = held + 2 * room[held]
    place = last
    while room[place] != slot or room[place + 1] != change:
        place -= 2
    while place < last:
        room[place], room[place + 1] = room[place + 2], room[place + 3]
        place += 2
    room[held] -= 1
    room[held + 1] -= change


def put(given: Sequence[int], room: MutableSequence[int], one: int, begin: int) -> None:
    """Let a task begin at a slot, and take what it needs."""
    task = one * FIELDS
    end = begin + given[task + _DURATION]
    room[one] = begin
    for row in range(given[task + _NEEDS], given[task + _SPANS], 2):
        at, amount = given[row], given[row + 1]
        for slot in range(at + begin, at + end):
            room[slot] -= amount
    for row in range(given[task + _SPANS], given[task + _TAKES], 2):
        _insert(room, given[row], begin, -given[row + 1])
        _insert(room, given[row], end, given[row + 1])
    for row in range(given[task + _TAKES], given[task + _GIVES], 2):
        _insert(room, given[row], begin, -given[row + 1])
    for row in range(given[task + _GIVES], given[task + _END], 2):
        _insert(room, given[row], end, given[row + 1])


def withdraw(given: Sequence[int], room: MutableSequence[int], one: int) -> None:
    """Undo `put`."""
    task, begin = one * FIELDS, room[one]
    end = begin + given[task + _DURATION]
    room[one] = NOT_PLACED
    for row in range(given[task + _NEEDS], given[task + _SPANS], 2):
        at, amount = given[row], given[row + 1]
        for slot in range(at + begin, at + end):
            room[slot] += amount
    for row in range(given[task + _SPANS], given[task + _TAKES], 2):
        _remove(room, given[row], begin, -given[row + 1])
        _remove(room, given[row], end, given[row + 1])
    for row in range(given[task + _TAKES], given[task + _GIVES], 2):
        _remove(room, given[row], begin, -given[row + 1])
    for row in range(given[task + _GIVES], given[task + _END], 2):
        _remove(room, given[row], end, given[row + 1])


def _blocked(room: Sequence[int], held: int, begin: int, end: int, amount: int) -> int:
    """Return until when less than an amount of a held resource is there between two slots; the first of them where enough is all along."""
    place, level, upper = held + 2 * room[held], room[held + 1], end
    while True:
        lower = room[place] if place > held + 1 else 0
        if level < amount and lower < upper:
            return upper
        if lower <= begin:
            return begin
        level -= room[place + 1]
        upper = min(upper, lower)
        place -= 2


def _first(sizes: Sequence[int], given: Sequence[int], room: Sequence[int], one: int, limit: int) -> int:  # noqa: C901, PLR0912 see above
    """Return the first slot at which a task can begin, `_LATER` or `_NEVER`."""
    task, horizon, shift = one * FIELDS, sizes[1], sizes[2]
    begin = given[task + _EARLIEST]
    for row in range(given[task + _WAITS], given[task + _NEEDS], 2):
        before = given[row]
        if room[before] == NOT_PLACED:
            return _LATER
        begin = max(begin, given[given[row + 1] + room[before] + given[before * FIELDS]])
    for row in range(given[task + _TAKES], given[task + _GIVES], 2):
        # What is taken stays taken to the horizon until the task that gives it back has a place.
        if room[given[row] + 1] < given[row + 1]:
            return _LATER
        begin = _blocked(room, given[row], begin, horizon, given[row + 1])
    duration = given[task + _DURATION]
    latest = min(horizon, limit - given[task + _TAIL])
    while True:
        if given[task + _ONE_SHIFT] == 1 and begin % shift + duration > shift:
            begin = (begin // shift + 1) * shift
        end = begin + duration
        if end > latest:
            return _NEVER
        tried = begin
        for row in range(given[task + _NEEDS], given[task + _SPANS], 2):
            at, amount = given[row], given[row + 1]
            slot = at + end - 1
            while slot >= at + begin and room[slot] >= amount:
                slot -= 1
            if slot >= at + begin:
                begin = slot - at + 1
                break
        if begin == tried:
            for row in range(given[task + _SPANS], given[task + _TAKES], 2):
                begin = max(begin, _blocked(room, given[row], begin, end, given[row + 1]))
        if begin == tried:
            return begin


def list_schedule(  # noqa: PLR0917 see above
    sizes: Sequence[int], given: Sequence[int], room: MutableSequence[int], order: Sequence[int], placed: int, limit: int
) -> bool:
    """Place tasks one by one, each as early as it can be, in the order of a list, and return whether all have a place.

    Parameters
    ----------
    sizes, given : sequence of int
        The problem, see `problem.flatten`. [-]
    room : mutable sequence of int
        Starts and what is free; changed. [-]
    order : sequence of int
        The list; a task whose turn comes before it can be placed waits until it can. [-]
    placed : int
        How many tasks stand already, from an earlier list that was the same as far as it was looked at. [-]
    limit : int
        Give up as soon as the end of everything is later than this for certain. [slots]

    Returns
    -------
    bool
        Whether all tasks are placed.

    Notes
    -----
    Serial scheduling. What is taken by one task and given back by another is reserved to the horizon until the second one is placed;
    a task that cannot take now is passed over, and the list is tried again from its beginning when something was placed.
    """
    count, first = sizes[0], 0
    room[3 * count] = placed
    deep = -1 if placed == 0 else room[2 * count + placed - 1]
    while placed < count:
        place, begin, one = first, _LATER, 0
        while place < count and begin == _LATER:
            one = order[place]
            if room[one] != NOT_PLACED:
                first += place == first
            else:
                begin = _first(sizes, given, room, one, limit)
            place += 1
        if begin < 0:
            return False
        put(given, room, one, begin)
        deep = max(deep, place - 1)
        room[count + placed], room[2 * count + placed] = one, deep
        placed += 1
        room[3 * count] = placed
    return True


def _begin(sizes: Sequence[int], given: Sequence[int], room: MutableSequence[int], order: Sequence[int]) -> bool:
    """Place what is fixed, whatever the list says, and then the list; return whether all have a place."""
    count, placed = sizes[0], 0
    for one in range(count):
        fixed = given[one * FIELDS + _FIXED]
        if fixed != NOT_PLACED:
            if fixed + given[one * FIELDS] > sizes[1]:
                return False
            put(given, room, one, fixed)
            room[count + placed], room[2 * count + placed] = one, -1
            placed += 1
    return list_schedule(sizes, given, room, order, placed, 2 * sizes[1])


def _last_of(sizes: Sequence[int], given: Sequence[int], room: Sequence[int], penalty: int) -> int:
    """Return the task of a penalty that ends last; of all tasks where the number is beyond the penalties."""
    row, stop = 0, sizes[0]
    if penalty < sizes[3]:
        row, stop = given[sizes[5] + 3 * penalty], given[sizes[5] + 3 * penalty + 1]
    found, end = 0, -1
    for place in range(row, stop):
        one = given[place] if penalty < sizes[3] else place
        if room[one] + given[one * FIELDS] > end:
            found, end = one, room[one] + given[one * FIELDS]
    return found


def _weigh(sizes: Sequence[int], given: Sequence[int], room: Sequence[int]) -> int:
    """Return the weight of a schedule: the end of its last task, and every penalty."""
    weight = 0
    for one in range(sizes[0]):
        weight = max(weight, room[one] + given[one * FIELDS])
    for penalty in range(sizes[3]):
        last = _last_of(sizes, given, room, penalty)
        weight += given[given[sizes[5] + 3 * penalty + 2] + room[last] + given[last * FIELDS]]
    return weight


def _chance(state: MutableSequence[int], count: int) -> int:
    """Return a number from 0 to below a count: linear congruential generator with the constants of ISO C's example, high bits used."""
    state[0] = (state[0] * 1103515245 + 12345) % 2147483648
    return (state[0] >> 8) % count


def _shift_task(count: int, order: Sequence[int], trial: MutableSequence[int], one: int, other: int) -> None:
    """Write a list in which the task at one place stands at another."""
    for place in range(count):
        trial[place] = order[place]
    step = 1 if one < other else -1
    for place in range(one, other, step):
        trial[place] = order[place + step]
    trial[other] = order[one]


def _shift_section(  # noqa: PLR0917 see above
    count: int, given: Sequence[int], order: Sequence[int], trial: MutableSequence[int], mine: int, its: int, swap: bool
) -> None:
    """Write a list in which all of one section goes before the first of another, or changes places with it."""
    fill, mine_due, its_due = 0, swap, True
    for place in range(count):
        section, wanted = given[order[place] * FIELDS + _SECTION], -1
        if section == its and its_due:
            its_due, wanted = False, mine
        elif section == mine and mine_due:
            mine_due, wanted = False, its
        if wanted >= 0:
            for again in range(count):
                if given[order[again] * FIELDS + _SECTION] == wanted:
                    trial[fill] = order[again]
                    fill += 1
        if section != mine and not (section == its and swap):
            trial[fill] = order[place]
            fill += 1


def _share(given: Sequence[int], one: int, other: int) -> bool:
    """Return whether a task needs or takes what another needs or gives back."""
    mine, its = one * FIELDS, other * FIELDS
    for row in range(given[mine + _NEEDS], given[mine + _TAKES], 2):
        for match in range(given[its + _NEEDS], given[its + _TAKES], 2):
            if given[row] == given[match]:
                return True
    for row in range(given[mine + _SPANS], given[mine + _GIVES], 2):
        for match in range(given[its + _SPANS], given[its + _END], 2):
            if given[row] == given[match]:
                return True
    return False


def _handed_on(
    sizes: Sequence[int], given: Sequence[int], start: Sequence[int], pairs: MutableSequence[int], state: MutableSequence[int]
) -> int:
    """Write the pairs of tasks of which one begins as the other hands on what it had, along a chain that decides the end; return how many.

    The chain goes backwards from the task that ends last, or the last one under a penalty, by what each waits for.
    """
    one, found = _last_of(sizes, given, start, _chance(state, sizes[3] + 1)), 0
    while one >= 0 and 2 * found + 1 < sizes[0] and given[one * FIELDS + _FIXED] == NOT_PLACED:
        task, ready, before = one * FIELDS, given[one * FIELDS + _EARLIEST], -1
        for row in range(given[task + _WAITS], given[task + _NEEDS], 2):
            after = given[given[row + 1] + start[given[row]] + given[given[row] * FIELDS]]
            if after > ready:
                ready, before = after, given[row]
        if ready < start[one]:
            seen, user = 0, -1
            for other in range(sizes[0]):
                if other != one and start[other] + given[other * FIELDS] == start[one] and _share(given, one, other):
                    seen += 1
                    if _chance(state, seen) == 0:
                        user = other
            if user >= 0:
                pairs[2 * found], pairs[2 * found + 1] = user, one
                found += 1
                before = user
        one = before
    return found


def _turn(  # noqa: PLR0917 see above
    sizes: Sequence[int],
    given: Sequence[int],
    order: Sequence[int],
    start: Sequence[int],
    trial: MutableSequence[int],
    state: MutableSequence[int],
) -> tuple[int, int]:
    """Return the places of two tasks of which one waits for what the other has, -1 where there are none: their order decides the end."""
    found = _handed_on(sizes, given, start, trial, state)
    if found == 0:
        return -1, -1
    pair = 2 * _chance(state, found)
    waiting, user = -1, -1
    for place in range(sizes[0]):
        if order[place] == trial[pair + 1]:
            waiting = place
        elif order[place] == trial[pair]:
            user = place
    return waiting, user


def _vary(  # noqa: PLR0917 see above
    sizes: Sequence[int],
    given: Sequence[int],
    order: Sequence[int],
    start: Sequence[int],
    trial: MutableSequence[int],
    state: MutableSequence[int],
) -> bool:
    """Write another list into ``trial``, and return whether it is another one."""
    count, kind = sizes[0], _chance(state, 10)
    one, other = -1, -1
    if _chance(state, 4) == 0:
        one, other = _turn(sizes, given, order, start, trial, state)
    deciding = one >= 0
    if not deciding:
        one, other = _chance(state, count), _chance(state, count)
    mine, its = given[order[one] * FIELDS + _SECTION], given[order[other] * FIELDS + _SECTION]
    if sizes[4] > 1 and kind < 7 and (mine != its or not deciding):
        if mine != its:
            _shift_section(count, given, order, trial, mine, its, kind > 3)
        return mine != its
    if deciding:
        if _chance(state, 2) == 0:
            one, other = other, one
        further = max(0, _chance(state, 8) - 4)
        other += further if one < other else -further
    else:
        reach = 1 + (count - 1) * (kind + 1) // 20
        other = one + other % (2 * reach + 1) - reach
    other = min(max(other, 0), count - 1)
    if one != other:
        _shift_task(count, order, trial, one, other)
    return one != other


def anneal(  # noqa: C901, PLR0912, PLR0917 see above
    sizes: Sequence[int],
    given: Sequence[int],
    room: MutableSequence[int],
    lists: tuple[MutableSequence[int], MutableSequence[int], MutableSequence[int], MutableSequence[int]],
    best: MutableSequence[int],
    state: MutableSequence[int],
    rounds: int,
    lowest: int,
) -> int:
    """Search better lists by annealing, and return the least weight found.

    Parameters
    ----------
    sizes, given : sequence of int
        The problem, see `problem.flatten`. [-]
    room : mutable sequence of int
        Room to work in, as `problem.flatten` makes it. [-]
    lists : tuple of mutable sequence of int
        The list to begin with; then room for the list that stands in ``room``, for the one that is tried, and for starts. [-]
    best : mutable sequence of int
        Gets the best starts. [slots]
    state : mutable sequence of int
        State of the generator; then the weight of the list now (0: not known), the best weight so far, round, and rounds in all. [-]
    rounds : int
        Lists to try now. [-]
    lowest : int
        Stop where the weight is down to this: it is proven. [slots]

    Returns
    -------
    int
        Least weight so far; 0 where no list could be placed. [slots]

    Notes
    -----
    A list that was taken is written anew in the order in which its tasks were placed: that gives the same schedule without passing over
    any. What a trial has in common with the list before it stays placed. How much worse a list may be is drawn before it is placed, so
    that a schedule that must become worse than that is given up.
    """
    order, laid, trial, now = lists
    count = sizes[0]
    if state[1] == 0:
        if not _begin(sizes, given, room, order):
            return 0
        state[1] = state[2] = _weigh(sizes, given, room)
        for place in range(count):
            best[place] = now[place] = room[place]
            laid[place] = order[place]
    for _ in range(rounds):
        if state[2] <= lowest:
            break
        state[3] += 1
        if not _vary(sizes, given, order, now, trial, state):
            continue
        # The step up that is still taken shrinks to nothing by the end.
        left = max(0, state[4] - state[3])
        limit = state[1] + state[1] * left // max(1, state[4]) // 64 * _chance(state, 1024) // 1024
        same = 0
        while same < count and laid[same] == trial[same]:
            same += 1
        placed = room[3 * count]
        while placed > 0 and room[2 * count + placed - 1] >= same:
            placed -= 1
            withdraw(given, room, room[count + placed])
        for place in range(same, count):
            laid[place] = trial[place]
        if not list_schedule(sizes, given, room, trial, placed, limit):
            continue
        weight = _weigh(sizes, given, room)
        if weight > limit:
            continue
        state[1] = weight
        for place in range(count):
            order[place] = laid[place] = room[count + place]
            # What is fixed stays where it is.
            room[2 * count + place] = place if room[2 * count + place] >= 0 else -1
            now[place] = room[place]
        if weight < state[2]:
            state[2] = weight
            for place in range(count):
                best[place] = now[place]
    return state[2]
