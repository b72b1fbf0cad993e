"""Cutting stock: the cheapest bars for all pieces, and a bound that says how good the plan is.

    problem            sizes, kinds of bar and plans, in whole numbers
    fill               quick plans: bars filled one after another, first-fit decreasing
    bounds             costs no plan can go below, the cheap ones
    local_search       a few bad bars cut anew, time and again
    knapsack           the most valuable pieces on one bar, and all fillings worth something
    column_generation  the bound in real numbers and good patterns
    diving             whole bars from the answer in real numbers
    exact_search       how many bars of each kind, and which patterns, a cheaper plan could use, to the end
    solve              the steps in turn, until plan and bound meet
    tidy_offcuts       of plans that cost the same, the one with few and long offcuts

The terms (pattern, bound, column generation) are those of Gilmore, P. C. and Gomory, R. E.,
'A linear programming approach to the cutting-stock problem', Operations Research 9, 1961.
"""

from fabgen.plan.bars.cutting_stock.problem import Bar, CuttingPlan, Kind, StockProblem
from fabgen.plan.bars.cutting_stock.solve import cheapest
from fabgen.plan.bars.cutting_stock.tidy_offcuts import tidied

__all__ = ["Bar", "CuttingPlan", "Kind", "StockProblem", "cheapest", "tidied"]
