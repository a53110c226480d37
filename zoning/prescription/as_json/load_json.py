"""The load sheet of a pass as an object of plan.json. Writes no file.

What is measured has its key in gallons, what is weighed in pounds; the other one is None.
"""

from zoning.passes.loads.dose import Amount, Dose
from zoning.passes.loads.sheet import LabelLimits, Load, LoadSheet
from zoning.passes.sections import SectionCover
from zoning.prescription.as_json.twins import Json, number, with_twins


def sheet_object(sheet: LoadSheet | None, metric: bool) -> Json | None:
    """Give the load sheet of a pass; None where there is none."""
    if sheet is None:
        return None
    pressure, duty = sheet.pressure_psi, sheet.duty_frac
    plain = {
        "product": sheet.product,
        **_dose(sheet.dose),
        "injected": sheet.injected,
        "adjuvant": sheet.adjuvant or None,
        "foliar_feed": sheet.foliar_feed or None,
        "area_ac": number(sheet.area_ac, "area_ac"),
        "rate_gal_ac": number(sheet.rate_gal_ac, "rate_gal_ac"),
        "overage_gal": number(sheet.overage_gal, "overage_gal"),
        "mix_gal": number(sheet.mix_gal, "mix_gal"),
        "full_loads": sheet.full_loads,
        "full_load": None if sheet.full is None else _load(sheet.full, metric),
        "last_load": _load(sheet.last, metric),
        "nozzle": sheet.nozzle or None,
        "pressure_psi": None if pressure is None else number(pressure, "pressure_psi"),
        "duty_frac": None if duty is None else number(duty, "duty_frac"),
        "slowest_mph": number(sheet.slowest_mph, "slowest_mph"),
        "zones": [
            with_twins(
                {
                    "zone": one.zone,
                    "area_ac": number(one.area_ac, "area_ac"),
                    "speed_mph": number(one.speed_mph, "speed_mph"),
                },
                metric,
            )
            for one in sheet.zones
        ],
        "edges": None if sheet.cover is None else _edges(sheet.cover, metric),
        "label": _label(sheet.label),
        "entrance": sheet.site.entrance or None,
        "wires": sheet.site.wires or None,
        "contact": sheet.site.contact or None,
        "neighbours": {side: text or None for side, text in sheet.site.neighbours},
        "other_pass": sheet.other_pass or None,
        "next_field": sheet.next_field or None,
        "next_same_mix": sheet.next_same_mix if sheet.next_field else None,
        "notes": [{"code": one.code, "text": one.text} for one in sheet.notes],
    }
    return with_twins(plain, metric)


def _dose(dose: Dose) -> Json:
    return {
        "dose": dose.text,
        "dose_gal_ac": number(dose.gal_ac, "dose_gal_ac") if dose.gal_ac else None,
        "dose_lb_ac": number(dose.lb_ac, "dose_lb_ac") if dose.lb_ac else None,
    }


def _load(load: Load, metric: bool) -> Json:
    plain = {
        "mix_gal": number(load.mix_gal, "mix_gal"),
        "area_ac": number(load.area_ac, "area_ac"),
        **_amount("product", load.product),
        **_amount("adjuvant", load.adjuvant),
        **_amount("foliar_feed", load.foliar_feed),
        "water_gal": number(load.water_gal, "water_gal"),
    }
    return with_twins(plain, metric)


def _amount(name: str, amount: Amount | None) -> Json:
    """Give an amount under two keys; both are None where nobody gave one."""
    gal, lb = (None, None) if amount is None else (amount.gal, amount.lb)
    return {
        f"{name}_gal": number(gal, name) if gal is not None and not lb else None,
        f"{name}_lb": number(lb, name) if lb else None,
    }


def _edges(cover: SectionCover, metric: bool) -> Json:
    plain = {
        "section_m": number(cover.section_m, "section_m"),
        "sections": cover.sections,
        "sprayed_ac": number(cover.sprayed_ac, "sprayed_ac"),
        "over_ac": number(cover.over_ac, "over_ac"),
        "off_crop_ac": number(cover.off_crop_ac, "off_crop_ac"),
        "missed_ac": number(cover.missed_ac, "missed_ac"),
    }
    return with_twins(plain, metric)


def _label(label: LabelLimits) -> Json:
    return {
        "max_wind": label.max_wind,
        "droplet": label.droplet or None,
        "re_entry_h": number(label.re_entry_h, "re_entry_h"),
        "pre_harvest_interval_d": label.pre_harvest_interval_d,
        "hay_grazing_d": label.hay_grazing_d,
        "rainfast_h": None if label.rainfast_h is None else number(label.rainfast_h, "rainfast_h"),
        "latest_stage": label.latest_stage,
        "max_dose": label.max_dose,
        "max_applications": label.max_applications,
    }
