"""Five seasons of an invented kitchen, computed twice: by the program, and here with numpy and scipy.

    python tests/independent/recompute.py PROGRAM

PROGRAM is the example `recount`, which reads facts and moments and prints reports. Every number here is computed from the
formulas as published or stated in the crate's documentation, by other means: integrals by adaptive quadrature, dates by root
finding, regression by matrices, mixtures of t distributions by scipy. They must agree within one per cent.
"""

import json
import subprocess
import sys
from datetime import datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import numpy as np
from scipy import integrate, optimize, special, stats

START = datetime(2026, 2, 2, tzinfo=timezone.utc)
ZONE = ZoneInfo("Europe/Vienna")
TOLERANCE = 0.01
CAPACITY = 19_000.0
NITROGEN = {"vegetable": 2.6, "citrus": 1.5, "meat": 28.4, "bread": 18.4}
RICH = {"meat"}
SETS = [(5.4, 34.2, 41.4), (2.0, 36.6, 41.0), (7.8, 34.7, 41.0)]


def moment(day):
    return START + timedelta(days=float(day))


def text(at):
    return at.strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def since_start(at):
    return (datetime.fromisoformat(at.replace("Z", "+00:00")) - START).total_seconds() / 86400


class Season:
    """What is told in a season: two batches, one after the other, with everything around them."""

    def __init__(self, seed):
        self.rng = np.random.default_rng(seed)
        self.facts = []
        self.lots = {"green": [], "blue": []}
        self.bran = {"green": 0.0, "blue": 0.0}
        self.drains = {"green": [], "blue": []}
        self.levels = {"green": [], "blue": []}
        self.temperatures, self.soil, self.uses = [], [], []
        self.stock = None
        self.play()

    def tell(self, day, kind, **slots):
        at = text(moment(day))
        what = {"kind": kind, **slots}
        n = len(self.facts) + 1
        self.facts.append({"seq": n, "event": f"${n}", "author": "ana", "at": at, "told": at, "what": what})

    def play(self):
        rng = self.rng
        self.tell(0, "opened", zone="Europe/Vienna", units="metric", direct=True)
        for bin in ("green", "blue"):
            self.tell(0, "bin_set", bin=bin, capacity_ml=CAPACITY, tap=True)
        self.tell(0, "plot_set", plot="south", area_m2=8.0)
        self.stock = float(rng.integers(300, 900))
        self.tell(0, "starter_stock", g=self.stock, ml=None)
        self.sealed, self.buried = 12.8, 31.5
        for day in range(31):
            bin = "green" if day < 12 else "blue"
            for _ in range(rng.poisson(1.2)):
                self.lot(day + rng.uniform(0.3, 0.75), bin)
            if day % 3 == 2:
                self.drain(day + 0.8, bin)
            if day % 5 == 4:
                c = float(np.round(rng.uniform(15, 26), 1))
                self.temperatures.append((day + 0.81, c))
                self.tell(day + 0.81, "temperature", place="room", c=c)
            if day in (6, 10, 20):
                self.level(day + 0.82, bin, float(rng.choice([0.25, 0.3, 0.4, 0.5, 0.6])))
            if day == 12:
                self.tell(self.sealed, "sealed", bin="green")
        self.tell(self.buried, "buried", bin="green", plot="south", depth_cm=25.0)
        for day in (31.6, 36.6, 40.2):
            c = float(np.round(rng.uniform(-1, 14), 1))
            self.soil.append((day - self.buried, c))
            self.tell(day, "temperature", place={"plot": "south"}, c=c)

    def lot(self, day, bin):
        rng = self.rng
        ml = float(np.round(rng.gamma(4, 350) + 50))
        foods = [[], ["vegetable"], ["citrus"], ["meat"], ["vegetable", "bread"]][rng.integers(5)]
        self.lots[bin].append((day, ml, foods))
        self.tell(day, "scraps", bin=bin, ml=ml, g=None, foods=foods)
        if rng.random() < 0.8:
            bran = float(15 * rng.integers(1, 4))
            self.bran[bin] += bran
            self.uses.append((day + 0.001, bran * 0.245))
            self.stock = max(0.0, self.stock - bran * 0.245)
            self.tell(day + 0.001, "bran", bin=bin, ml=bran, g=None)

    def drain(self, day, bin):
        ml = float(np.round(self.rng.uniform(20, 260), -1))
        self.drains[bin].append((day, ml))
        self.tell(day, "drained", bin=bin, ml=ml, used=None, estimated=False)

    def level(self, day, bin, fraction):
        self.levels[bin].append((day, fraction))
        self.tell(day, "level", bin=bin, fraction=fraction)

    def volume(self, bin, until=np.inf):
        return sum(ml for day, ml, _ in self.lots[bin] if day <= until)


# Ferment: Rosso 1993; damped days clamp(14 (gamma(22)/gamma(T))^0.75, 10, 28).


def gamma(t, low, best, high):
    if not low < t < high:
        return 0.0
    above = (t - high) * (t - low) ** 2
    return above / ((best - low) * ((best - low) * (t - best) - (best - high) * (best + low - 2 * t)))


def rate(t, cardinal):
    growth = gamma(t, *cardinal)
    return 1 / 28 if growth <= 0 else 1 / np.clip(14 * (gamma(22, *cardinal) / growth) ** 0.75, 10, 28)


def progress(readings, since, until, cardinal=SETS[0]):
    days, celsius = zip(*readings)
    breaks = [day for day in days if since < day < until]
    edges = [since, *breaks, until]
    part = lambda a, b: integrate.quad(lambda day: rate(np.interp(day, days, celsius), cardinal), a, b, limit=200)[0]
    return sum(part(a, b) for a, b in zip(edges, edges[1:]))


def ready(readings, since):
    reach = lambda cardinal, target: optimize.brentq(
        lambda day: progress(readings, since, day, cardinal) - target, since + 0.1, since + 40
    )
    early = min(reach(one, 0.88) for one in SETS)
    late = max(reach(one, 1.25) for one in SETS)
    return reach(SETS[0], 1.0), early, late


# Fill: base and settled share by Bayesian linear regression, in matrices.


def settled_by_room(season, bins):
    mean, variance, between = 0.7, 0.1**2, 0.055**2
    for bin in bins:
        told = [(season.volume(bin, day) / CAPACITY, level) for day, level in season.levels[bin]]
        if told:
            x, y = np.array(told).T
            share, error = (x @ y) / (x @ x), 0.05**2 / (x @ x)
            if not 0.235 <= share <= 1.1:
                continue
            share = min(share, 1.0)
            variance += 0.015**2
            precision = 1 / variance + 1 / (error + between)
            mean = (mean / variance + share / (error + between)) / precision
            variance = 1 / precision
    return mean, np.sqrt(variance + between)


def settling(season, bin, before):
    share, deviation = settled_by_room(season, before)
    mean, covariance = np.array([0.0, share]), np.diag([(0.02 * CAPACITY) ** 2, deviation**2])
    for day, level in season.levels[bin]:
        x, noise = np.array([1.0, season.volume(bin, day)]), (0.05 * CAPACITY) ** 2
        off = level * CAPACITY - x @ mean
        expected = x @ covariance @ x + noise
        if off**2 > 1.7**2 * expected:
            covariance[0, 0] += off**2 - expected
        updated = np.linalg.inv(np.linalg.inv(covariance) + np.outer(x, x) / noise)
        mean = updated @ (np.linalg.solve(covariance, mean) + x * level * CAPACITY / noise)
        mean[1] = np.clip(mean[1], 0.235, 1.0)
        covariance = updated
    return mean, covariance


def occupied(season, bin, before):
    mean, _ = settling(season, bin, before)
    return float(np.clip(mean @ [1.0, season.volume(bin)], 0, CAPACITY))


# Liquid: normal-inverse-gamma for each release time, weighed by evidence; the predictive is a mixture of t.

RELEASES = [(0.25, 0.10), (0.7, 0.15), (1.2, 0.20), (2.0, 0.20), (3.0, 0.15), (4.5, 0.12), (7.0, 0.08)]


def released(lots, last, now, release):
    total = 0.0
    for day, ml, _ in lots:
        if day <= now:
            kept = lambda at: np.exp(-(at - day) / release)
            total += ml / 1000 * ((kept(last) if last is not None and last > day else 1.0) - kept(now))
    return total


def liquid(season, bin, now):
    drains = sorted((day, ml, bin) for bin, all in season.drains.items() for day, ml in all)
    parts = []
    for release, prior in RELEASES:
        told = []
        for day, ml, source in drains:
            earlier = [other for other, _ in season.drains[source] if other < day]
            litres = released(season.lots[source], max(earlier, default=None), day, release)
            if litres > 0.15:
                told.append(np.log(max(ml, 5.0) / litres))
        told = np.array(told)
        weights = 0.96 ** np.arange(len(told))[::-1]
        n, start, worth0, shape0 = weights.sum(), np.log(60), 0.15, 1.5
        scale0 = 0.14**2 * shape0
        mean = weights @ told / n
        worth, shape = worth0 + n, shape0 + n / 2
        scale = scale0 + weights @ (told - mean) ** 2 / 2 + worth0 * n * (mean - start) ** 2 / (2 * worth)
        evidence = (
            special.gammaln(shape) - shape * np.log(scale) + shape0 * np.log(scale0) - 0.5 * np.log(worth)
        )
        last = max((day for day, _ in season.drains[bin]), default=None)
        litres = released(season.lots[bin], last, now, release)
        predictive = stats.t(
            2 * shape, (worth0 * start + n * mean) / worth + np.log(litres), np.sqrt(scale / shape * (1 + 1 / worth))
        )
        parts.append((np.log(prior) + evidence, predictive))
    logs = np.array([log for log, _ in parts])
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    below = lambda at: sum(weight * one.cdf(at) for weight, (_, one) in zip(weights, parts))
    return float(np.exp(optimize.brentq(lambda at: below(at) - 0.5, -12, 25)))


# Rest: 14 and 21 days at 18 degrees, twice as long when ten degrees colder, from 14 to 60; none while frozen.


def rest_over(soil, at_reference):
    days, celsius = zip(*soil)
    speed = lambda day: (
        0.0
        if (t := np.interp(day, days, celsius)) <= 0
        else 1 / np.clip(at_reference * 2 ** ((18 - t) / 10), 14, 60)
    )
    grid = np.linspace(0, 200, 400_001)
    summed = integrate.cumulative_trapezoid([speed(day) for day in grid], grid, initial=0)
    return float(np.interp(1.0, summed, grid))


# Rhythm: gamma-Poisson in units of the dispersion, weekdays and hours; the date by root finding.


def local(day):
    return moment(day).astimezone(ZONE)


def rhythm(events, now, prior_per_day, prior_weight, prior_lot):
    n = len(events)
    recent = events[-60:]
    counts = np.zeros(24)
    counts[7:22] = 4.0 / 15
    for day, _ in recent:
        hour = local(day).hour
        for off, part in ((0, 0.5), (1, 0.25), (-1, 0.25)):
            counts[(hour + off) % 24] += part
    hours = np.cumsum(counts) / counts.sum()
    edges = np.concatenate([[0.0], hours])
    here = local(now)
    part = (here.hour * 3600 + here.minute * 60 + here.second) / 86400
    by_now = float(np.interp(part * 24, np.arange(25), edges))
    dates = [local(day).date() for day, _ in events]
    today = here.date()
    passed = by_now
    if dates[-1] == today:
        recent_dates = dates[-60:]
        busy = len(set(recent_dates))
        a_day = len(recent) / ((today - recent_dates[0]).days + 1)
        at_random = a_day / -np.expm1(-a_day) - 1
        again = ((len(recent) / busy - 1) / max(at_random, 0.05) * busy + 3) / (busy + 3)
        passed = 1 - np.clip(again, 0, 1) * (1 - by_now)
    length = (today - dates[0]).days + 1
    amounts = np.zeros(length)
    for date, (_, amount) in zip(dates, events):
        amounts[(date - dates[0]).days] += amount
    exposure = np.ones(length)
    exposure[-1] = passed
    exposure[0] = np.clip(length / max((amounts > 0).sum(), 1), 1, 7)
    silence = np.zeros(length)
    for n_day in range(length):
        silence[n_day] = 0 if amounts[n_day] > 0 else (silence[n_day - 1] if n_day else 0) + 1
    gaps = np.sort(np.diff(np.flatnonzero(amounts)))
    usual = gaps[len(gaps) // 2] if len(gaps) else 1
    run = silence.copy()
    for n_day in range(length - 2, -1, -1):
        if silence[n_day] and silence[n_day + 1]:
            run[n_day] = run[n_day + 1]
    kept = run <= max(7, 3 * usual)
    weight = np.exp(-(length - 1 - np.arange(length)) / 90) * kept
    weekday = (dates[0].weekday() + np.arange(length)) % 7
    per_day = (weight @ amounts + prior_per_day * prior_weight) / (weight @ exposure + prior_weight)
    sizes = np.array([amount for _, amount in recent])
    of_lots = ((sizes**2).sum() + 2 * prior_lot**2 * 1.3) / (sizes.sum() + 2 * prior_lot)
    seen = np.array([(weight * exposure)[weekday == w].sum() for w in range(7)])
    raw = np.array([(weight * amounts)[weekday == w].sum() for w in range(7)]) / np.maximum(seen * per_day, 1e-300)
    noise, weeks = of_lots / per_day, seen.sum() / 7
    between = sum((share - 1) ** 2 - noise / e for share, e in zip(raw, seen) if e > 0.5) / 7
    variance = max((0.06 * 3 + between * weeks) / (3 + weeks), 0.005)
    shares = np.where(seen > 0, (seen * raw + noise / variance) / (seen + noise / variance), 1.0)
    shares /= shares.mean()
    whole = kept & (exposure >= 1)
    whole[np.argmax(whole)] = False
    expected = per_day * shares[weekday]
    of_days = (
        (weight * (amounts - expected) ** 2)[whole].sum() / (weight * expected)[whole].sum() if whole.any() else of_lots
    )
    count = weight[whole].sum()
    dispersion = (of_lots * 3 + of_days * count) / (3 + count)
    doubt = min(np.sqrt(dispersion / (per_day * (weight @ exposure + prior_weight)) + 0.08**2), 1.0)
    return [per_day, shares, edges, passed, by_now, part, dispersion, doubt, here.weekday()]


def date_reached(found, needs, weights, chance):
    per_day, shares, edges, passed, by_now, part, dispersion, doubt, first = found

    def chance_at(expected):
        spread = np.sqrt(dispersion * expected + (doubt * expected) ** 2)
        off = (expected - needs - 0.2 * dispersion) / spread
        return (weights * np.where(needs <= 0, 1.0, stats.norm.cdf(off))).sum() / weights.sum()

    if chance_at(1e-9) >= chance:
        return 0.0
    expected = optimize.brentq(lambda tau: chance_at(tau) - chance, 1e-9, per_day * 365)
    # The expected amount as a function of time is piecewise linear in hours: invert it by interpolation.
    days, sums = [0.0], [0.0]
    total = 0.0
    for day in range(366):
        amount = per_day * shares[(first + day) % 7]
        start, share = (passed, by_now) if day == 0 else (0.0, 0.0)
        for hour in range(24):
            if edges[hour + 1] > share:
                of = (edges[hour + 1] - share) / (1 - share)
                days.append(day + (hour + 1) / 24 - part)
                sums.append(total + amount * (1 - start) * of)
        total += amount * (1 - start)
    return float(np.interp(expected, sums, np.maximum.accumulate(np.maximum(days, 0))))


def five_slices(mean, deviation):
    nodes, weights = np.polynomial.hermite_e.hermegauss(5)
    return mean + deviation * nodes, weights / weights.sum()


def full(season, bin, before, now):
    mean, covariance = settling(season, bin, before)
    shares, weights = five_slices(mean[1], np.sqrt(covariance[1, 1]))
    base = mean[0] + covariance[0, 1] / covariance[1, 1] * (shares - mean[1])
    needs = np.maximum((0.9 * CAPACITY - base) / shares - season.volume(bin), 0)
    events = sorted((day, ml) for lots in season.lots.values() for day, ml, _ in lots)
    return date_reached(rhythm(events, now, 870.0, 2.0, 2000.0), needs, weights, 0.5)


def bran_out(season, now):
    used = sum(grams for _, grams in season.uses)
    deviation = np.hypot(0.05 * season.stock, 0.15 * used)
    needs, weights = five_slices(season.stock, deviation)
    found = rhythm(season.uses, now, 3.2, 1.0, 7.35)
    found[7] = np.hypot(found[7], 0.15)
    return date_reached(found, needs, weights, 0.5)


def owed(season, bin):
    due = 30.0 + sum((30 if RICH & set(foods) else 15) * ml / 1000 for _, ml, foods in season.lots[bin])
    return max(0.0, due - season.bran[bin])


def nitrogen(season, bin):
    total = 0.0
    for _, ml, foods in season.lots[bin]:
        kilograms = ml * 0.5 / 1000
        total += kilograms * (np.mean([NITROGEN[food] for food in foods]) if foods else 6.0)
    return float(total)


def check(name, found, wanted, scale):
    off = abs(found - wanted) / max(abs(wanted), scale, 1e-9)
    mark = "ok" if off <= TOLERANCE else "DIFFERS"
    print(f"  {name:18} program {found:12.4f}  here {wanted:12.4f}  off {100 * off:6.3f} %  {mark}")
    return off <= TOLERANCE


def compare(program, seed):
    season = Season(seed)
    before_burial, end = 31.2, 41.0
    asked = json.dumps({"facts": season.facts, "moments": [text(moment(before_burial)), text(moment(end))]})
    answer = subprocess.run([program], input=asked, text=True, capture_output=True, check=True).stdout
    first, last = (json.loads(line)["report"] for line in answer.splitlines())
    green, blue = first["bins"]
    starter, plot = first["starter"], last["plots"][0]
    at, early, late = ready(season.temperatures, season.sealed)
    soil = season.soil
    print(f"season {seed}")
    days = lambda value: since_start(value) - before_burial
    rows = [
        ("progress", green["progress"], min(1.0, progress(season.temperatures, season.sealed, before_burial)), 0.0),
        ("ready, days", since_start(green["ready_at"]) - season.sealed, at - season.sealed, 0.0),
        ("ready early", since_start(green["ready_early"]) - season.sealed, early - season.sealed, 0.0),
        ("ready late", since_start(green["ready_late"]) - season.sealed, late - season.sealed, 0.0),
        ("scraps, ml", blue["scraps_ml"], season.volume("blue"), 0.0),
        ("occupied green, ml", green["occupied_ml"], occupied(season, "green", []), 0.0),
        ("occupied blue, ml", blue["occupied_ml"], occupied(season, "blue", ["green"]), 0.0),
        ("bran owed, ml", blue["bran_owed_ml"], owed(season, "blue"), 30.0),
        ("liquid green, ml", green["liquid_ml"], liquid(season, "green", before_burial), 20.0),
        ("liquid blue, ml", blue["liquid_ml"], liquid(season, "blue", before_burial), 20.0),
        ("full, days", days(blue["full_at"]), full(season, "blue", ["green"], before_burial), 10.0),
        ("bran, g", starter["g"], season.stock, 0.0),
        ("bran out, days", days(starter["out_at"]), bran_out(season, before_burial), 0.0),
        ("nitrogen, g/m2", plot["nitrogen_g_m2_year"], nitrogen(season, "green") / 8.0, 0.0),
        ("plant early, days", since_start(plot["plant_early"]) - season.buried, rest_over(soil, 14), 0.0),
        ("plant safe, days", since_start(plot["plant_safe"]) - season.buried, rest_over(soil, 21), 0.0),
        ("kept out, g", first["tally"]["kept_out_g"], 0.5 * (season.volume("green") + season.volume("blue")), 0.0),
    ]
    return all([check(*row) for row in rows])


if __name__ == "__main__":
    agreed = [compare(sys.argv[1], seed) for seed in range(1, 6)]
    print(f"{sum(agreed)} of {len(agreed)} seasons agree within {100 * TOLERANCE:.0f} %")
    sys.exit(0 if all(agreed) else 1)
