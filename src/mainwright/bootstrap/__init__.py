"""Wires the parts: the only place that names an adapter, reads a setting or the clock.

Each function imports just what it wires, so that a command pays for nothing else.
"""

from mainwright.bootstrap.demo import make_demo, make_recorded
from mainwright.bootstrap.giving_back import give_back, give_back_text
from mainwright.bootstrap.keeping import (
    export_job,
    export_run,
    fit_hose,
    formulas_in,
    import_job,
    import_run,
    open_store,
    store_place,
    verify,
)
from mainwright.bootstrap.network import van_address
from mainwright.bootstrap.place import log_file
from mainwright.bootstrap.planning import check, plan, plan_text, programme_text, read_job, thorough
from mainwright.bootstrap.proving import proof_text, prove
from mainwright.bootstrap.rings import rings, rings_file
from mainwright.bootstrap.run_files import export_run_records
from mainwright.bootstrap.running import RIG, follow, user_name
from mainwright.bootstrap.serving import page_use_cases
from mainwright.bootstrap.supply import supply, supply_text
from mainwright.bootstrap.taking_in import take_in
from mainwright.bootstrap.valuing import valuation_text, value
from mainwright.bootstrap.water import water, water_answers

__all__ = [
    "RIG",
    "check",
    "export_job",
    "export_run",
    "export_run_records",
    "fit_hose",
    "follow",
    "formulas_in",
    "give_back",
    "give_back_text",
    "import_job",
    "import_run",
    "log_file",
    "make_demo",
    "make_recorded",
    "open_store",
    "page_use_cases",
    "plan",
    "plan_text",
    "programme_text",
    "proof_text",
    "prove",
    "read_job",
    "rings",
    "rings_file",
    "store_place",
    "supply",
    "supply_text",
    "take_in",
    "thorough",
    "user_name",
    "valuation_text",
    "value",
    "van_address",
    "verify",
    "water",
    "water_answers",
]
