"""Kits by trying every one, to hold the solver to account; role by role, as arrays with a row a kit."""

import numpy as np

from ampwright.selection.kit_model import BUDGET, CARRY, LATE, is_different


def every_kit(problem, wishes):
    """Every kit that breaks no rule and meets these wishes, the cheapest first."""
    kits, pence = np.zeros((1, 0), int), np.zeros(1, int)
    left_mA = {CARRY: np.zeros(1, int), LATE: np.zeros(1, int)}
    for place, role in enumerate(problem.roles):
        meets = [at for at, option in enumerate(role.options) if not option.misses & set(wishes)]
        row, at = (each.ravel() for each in np.meshgrid(np.arange(len(kits)), np.array(meets, int), indexing="ij"))
        goes = np.ones(len(row), bool)
        for (one, other), table in problem.goes.items():
            if other == place:
                goes &= table[kits[row, one], at]
        row, at = row[goes], at[goes]
        kits = np.column_stack([kits[row], at])
        pence = pence[row] + np.array([option.pence for option in role.options], int)[at]
        given = {CARRY: [one.carries_mA for one in role.options], LATE: [one.late_mA for one in role.options]}
        drawn = np.array([option.lamp_mA for option in role.options], int)
        left_mA = {wish: left_mA[wish][row] + (np.array(mA, int) - drawn)[at] for wish, mA in given.items()}
    met = np.ones(len(kits), bool)
    for wish in {CARRY, LATE} & set(wishes):
        met &= left_mA[wish] >= 0
    for never in problem.never:
        met &= ~np.all([np.isin(kits[:, place], list(group)) for place, group in never], axis=0)
    if BUDGET in wishes and problem.budget_pence is not None:
        met &= pence <= problem.budget_pence
    order = np.argsort(pence[met], kind="stable")
    return [tuple(kit) for kit in kits[met][order].tolist()]


def best_by_trying(problem, wishes, most=3):
    """The cheapest kit and the next best different ones."""
    left, found = every_kit(problem, wishes), []
    while len(found) < most:
        kit = next((kit for kit in left if is_different(problem, kit, found)), None)
        if kit is None:
            break
        found.append(kit)
    return found
