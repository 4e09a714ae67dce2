"""Kits by trying every one, to hold the solver to account; role by role, as arrays with a row a kit."""

import numpy as np

from ampwright.selection.kit_model import BUDGET, CARRY, is_different


def every_kit(problem, wishes):
    """Every kit that breaks no rule and meets these wishes, the cheapest first."""
    kits, pence, left_mA = np.zeros((1, 0), int), np.zeros(1, int), np.zeros(1, int)
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
        left_mA = left_mA[row] + np.array([option.carries_mA - option.lamp_mA for option in role.options], int)[at]
    met = np.ones(len(kits), bool)
    if CARRY in wishes:
        met &= left_mA >= 0
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
