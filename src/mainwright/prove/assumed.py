"""What a proof takes for granted where the contract says nothing: every such value with its unit and its meaning."""

from typing import Final

from mainwright.prove.acceptance import SHARE
from mainwright.prove.agreement import APART, BATCH, GAUGE, SCAN
from mainwright.prove.camera import SHORT
from mainwright.prove.causes import NEAR_EVENT, OFF
from mainwright.prove.connections import CLOCKS, NEAR
from mainwright.prove.curing import ACTIVATIONS
from mainwright.prove.defects import LONGEST_PATCH, REACH
from mainwright.prove.measured import WHOLE
from mainwright.prove.mortar import PRISM_SIDE, PRISM_SPAN
from mainwright.prove.obstructions import DRAWN_NEAR
from mainwright.prove.pressure import FEWEST_READINGS, WATER_MODULUS
from mainwright.prove.scans import SURE
from mainwright.prove.thickness import SILENT, TIMES_USUAL
from mainwright.standards.source import Assumed
from mainwright.units import from_si
from mainwright.words.message import message

__all__ = ["ASSUMED"]

ASSUMED: Final = (
    Assumed(
        "proof.share",
        SHARE,
        "-",
        message("Share of the interior that readings must show over the minimum: an assumption, the contract may say otherwise."),
    ),
    Assumed(
        "proof.near_m",
        NEAR,
        "m",
        message("A connection that was seen without its name is taken for the listed one within this length: an assumption."),
    ),
    Assumed(
        "proof.near_hours_of_clock",
        CLOCKS,
        "h",
        message("So far round the clock, in its hours, two sights of a connection are still the same one: an assumption."),
    ),
    Assumed("proof.batch_deviation", BATCH, "-", message("Deviation of what was batched, relative: an assumption.")),
    Assumed("proof.scan_mm", from_si(SCAN, "mm"), "mm", message("Deviation of the mean by two ring scans: an assumption.")),
    Assumed("proof.gauge_mm", from_si(GAUGE, "mm"), "mm", message("Deviation of one gauge that all its readings share: an assumption.")),
    Assumed(
        "proof.scan_confidence",
        SURE,
        "-",
        message("Confidence, to one side, with which a scan must show its least thickness: an assumption."),
    ),
    Assumed(
        "proof.apart_deviations",
        APART,
        "-",
        message("Two kinds of evidence differ where they lie more than so many common deviations apart: an assumption."),
    ),
    Assumed("proof.patch_reach_m", REACH, "m", message("So far from an opening mortar can be patched by hand: an assumption.")),
    Assumed(
        "proof.longest_patch_m", LONGEST_PATCH, "m", message("A longer thin length is coated again, not patched by hand: an assumption.")
    ),
    Assumed("proof.near_event_m", NEAR_EVENT, "m", message("An event within this length may be the cause of a defect: an assumption.")),
    Assumed(
        "proof.off_plan",
        OFF,
        "-",
        message("Flow or speed so far from the plan, relative, is told as the cause of a defect: an assumption."),
    ),
    Assumed("proof.camera_short_m", SHORT, "m", message("A camera pass that ends so far from an end of the run is told: an assumption.")),
    Assumed("proof.whole_m", WHOLE, "m", message("A run of which less than this is missing is measured as whole: an assumption.")),
    Assumed("proof.pause_s", SILENT, "s", message("A pause between readings that is no gap yet, however often they come: an assumption.")),
    Assumed(
        "proof.pause_times_usual",
        TIMES_USUAL,
        "-",
        message("A pause so many times the usual one between readings is a gap: an assumption."),
    ),
    Assumed(
        "proof.drawn_near_m",
        DRAWN_NEAR,
        "m",
        message("A drawn feature within this of an obstruction may be the same thing: an assumption."),
    ),
    Assumed(
        "proof.activation_low_k",
        ACTIVATIONS[0],
        "K",
        message("Activation energy over the gas constant of the first published law of maturity (EN 1992-1-1 annex B), from memory."),
    ),
    Assumed(
        "proof.activation_high_k",
        ACTIVATIONS[1],
        "K",
        message("Activation energy over the gas constant of the second published law of maturity (ASTM C1074), from memory."),
    ),
    Assumed(
        "proof.prism_side_mm", from_si(PRISM_SIDE, "mm"), "mm", message("Side of a prism whose record gives no section: an assumption.")
    ),
    Assumed("proof.prism_span_mm", from_si(PRISM_SPAN, "mm"), "mm", message("Span of a prism whose record gives none: an assumption.")),
    Assumed(
        "proof.water_modulus_bar", from_si(WATER_MODULUS, "bar"), "bar", message("Bulk modulus of water in the pressure test, from memory.")
    ),
    Assumed(
        "proof.fewest_readings",
        float(FEWEST_READINGS),
        "-",
        message("Fewer readings of a pressure test than so many tell no trend of its make-up: an assumption."),
    ),
)
"""In the order in which papers show them."""
