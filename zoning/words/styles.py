"""What legends and labels say where a file is opened in a desktop GIS."""

SENTENCES: dict[str, str] = {
    "styles.spray": "spray",
    "styles.spray_at": "spray, {rate} {unit}",
    "styles.rate": "{rate} {unit}",
    "styles.off": "boom off",
    "styles.skip": "skip",
    "styles.undecided": "no decision: prices are not known",
    "styles.pass": "pass {number}: {rate} {unit}",
    "styles.zone": "zone {zone}, block {block}",
    "styles.strip_treated": "check strip, treated",
    "styles.strip_untreated": "check strip, left untreated",
    "styles.count": "plants counted",
    "styles.pressure": "scouted for disease",
    "styles.note": "a note or a photo",
    "styles.boundary": "boundary of the field",
    "styles.r3_day": "R3 likely begins {day}",
    "styles.about_zone": "number of the zone, 0 = in none",
    "styles.about_r3_day": "likely day on which R3 begins, counted from January 1, {year} = 1; 0 = not known",
    "styles.about_net_return": "expected net return in {unit}; -9999 = not known",
}
