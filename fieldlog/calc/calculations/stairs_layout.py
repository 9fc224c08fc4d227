from fieldlog.calc.calculations.model import Calculation

CALCULATIONS: tuple[Calculation, ...] = ()
