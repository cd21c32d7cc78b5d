#!/usr/bin/env python3
"""Checks that every line of own-*.jsonl here is sound gold; prints what is not and exits with 1.

It knows the form (kinds, slots, values), that a time has the offset of the room's zone on that date (or is in UTC), that a report
lies in the past and a plan in the future, and that a bin or plot named in the gold is one of the room's.
It cannot know whether the gold is what the words mean: that is the reader's work.
"""
import glob
import json
import os
import re
import sys
from collections import Counter
from datetime import datetime
from zoneinfo import ZoneInfo

HERE = os.path.dirname(os.path.abspath(__file__))
FACTS = {  # kind: slots
    "scraps": "ml g bin at foods", "bran": "ml g bin at", "drained": "ml bin at use", "started": "bin at",
    "sealed": "bin at", "checked": "bin at smell mould moisture pests lid", "temperature": "c bin plot at",
    "level": "fraction bin at", "buried": "bin plot at depth_cm", "discarded": "bin at", "planted": "plot at crop",
    "cleaned": "bin at", "starter_made": "g at", "starter_bought": "g ml", "starter_stock": "g ml",
    "bin_set": "bin capacity_ml tap", "bin_gone": "bin", "plot_set": "plot area_m2", "measure_set": "measure ml",
    "setting": "name value", "undo": "", "amended": "ml g bin at plot fraction c depth_cm use crop", "done": "at",
    "later": "minutes until", "skip": "", "away": "until", "back": ""}
ASKS = {  # about: slots
    "status": "bin", "ready": "bin", "full": "bin", "drain": "bin", "bran": "bin ml g", "dilution": "ml",
    "burying": "bin plot", "planting": "plot", "stock": "", "recipe": "g", "rota": "", "tally": "since",
    "history": "bin", "chart": "bin", "acceptable": "foods item", "trouble": "bin smell mould moisture pests lid",
    "why": "", "help": ""}
UNCLEAR = {"amount", "unit", "bin", "time", "meaning"}
REPLY_TO = {"drain", "seal", "bury", "plant", "bran", "check", "starter", "full"}
FOODS = set("vegetable fruit citrus cooked meat fish bone dairy bread grain egg coffee tea oil liquid garden other".split())
VALUES = {
    "use": {"plants", "pipes", "poured_away"}, "smell": {"sweet_sour", "rotten", "ammonia", "alcohol", "none"},
    "mould": {"white", "green", "black", "blue", "other", "none"}, "moisture": {"wet", "dry", "fine"},
    "lid": {"bulging", "leaking", "loose", "fine"}, "pests": {True, False}, "tap": {True, False},
    "name": {"zone", "units", "quiet", "digest"}}
SETTINGS = {"units": r"metric|us|imperial", "quiet": r"off|\d\d:\d\d-\d\d:\d\d", "zone": r"\w+/\w+(/\w+)?",
            "digest": r"off|(DAILY|MON|TUE|WED|THU|FRI|SAT|SUN) \d\d:\d\d"}
LINE = {"id", "text", "now", "zone", "units", "bins", "plots", "measures", "direct", "reply_to", "gold"}
NEEDED = LINE - {"reply_to", "units", "measures"}


def check_moment(text, line, zone):
    """A time of the line's zone, or what is wrong with it."""
    moment = datetime.fromisoformat(text)
    local = moment.astimezone(zone)
    universal = text.endswith("Z")
    return local, [] if universal or moment.utcoffset() == local.utcoffset() else [f"{text} has the wrong offset for {line['zone']}"]


def check_times(thing, line, zone, now):
    faults = []
    for slot in ("at", "until"):
        if slot not in thing:
            continue
        moment, wrong = check_moment(thing[slot], line, zone)
        faults += wrong
        precision = thing.get("precision")
        if precision not in ("minute", "part", "day"):
            faults.append(f"{slot} without precision")
        if precision == "day" and (moment.hour, moment.minute) != (12, 0):
            faults.append(f"a day is written as noon, not {thing[slot]}")
        late = moment.date() > now.date() if precision == "day" else moment > now
        if slot == "at" and late:
            faults.append(f"a report from the future: {thing[slot]}")
        if slot == "until" and moment <= now:
            faults.append(f"a plan in the past: {thing[slot]}")
    return faults


def check_slots(thing, name, schema, line):
    kind, faults = thing[name], []
    if kind not in schema:
        return [f"unknown {name} {kind}"]
    faults += [f"{kind} has no slot {s}" for s in set(thing) - {name, "precision"} - set(schema[kind].split())]
    for slot, value in thing.items():
        if slot in VALUES and value not in VALUES[slot]:
            faults.append(f"{slot} cannot be {value}")
        if slot == "foods" and not (value and value == sorted(set(value)) and set(value) <= FOODS):
            faults.append(f"foods {value}")
        if slot in ("ml", "g", "capacity_ml", "area_m2", "depth_cm", "minutes", "c", "fraction") and isinstance(value, (bool, str)):
            faults.append(f"{slot} is not a number")
        if slot == "fraction" and not 0 <= value <= 1:
            faults.append(f"fraction {value}")
        if slot == "since" and not re.fullmatch(r"\d{4}-\d\d-\d\d", value):
            faults.append(f"since {value}")
    told = {(f["kind"], f.get("bin") or f.get("plot")) for f in line["gold"]["facts"]}  # `new bin: attic. 2 litres are in it`
    rooms_bins = {b["name"] for b in line["bins"]} | {name for kind_, name in told if kind_ == "bin_set"}
    rooms_plots = set(line["plots"]) | {name for kind_, name in told if kind_ == "plot_set"}
    if "bin" in thing and kind != "bin_set" and thing["bin"] not in rooms_bins:
        faults.append(f"no bin {thing['bin']} in this room")
    if "plot" in thing and kind != "plot_set" and thing["plot"] not in rooms_plots:
        faults.append(f"no plot {thing['plot']} in this room")
    if kind == "setting" and not re.fullmatch(SETTINGS[thing["name"]], thing["value"]):
        faults.append(f"setting {thing['name']} {thing['value']}")
    return faults


def check(line):
    """What is wrong with one line of gold."""
    faults = [f"field {k} is missing" for k in NEEDED - set(line)] + [f"unknown field {k}" for k in set(line) - LINE]
    if faults:
        return faults
    zone, gold = ZoneInfo(line["zone"]), line["gold"]
    now, faults = check_moment(line["now"], line, zone)
    if line.get("reply_to", "drain") not in REPLY_TO or ("reply_to" in line and not line["direct"]):
        faults.append("reply_to is unknown, or in a message that is not direct")
    if set(gold) != {"facts", "asks", "unclear"}:
        return faults + ["gold has the wrong fields"]
    if gold["unclear"] and (set(gold["unclear"]) != {"about"} or gold["unclear"]["about"] not in UNCLEAR):
        faults.append(f"unclear {gold['unclear']}")
    for fact in gold["facts"]:
        faults += check_slots(fact, "kind", FACTS, line) + check_times(fact, line, zone, now)
        reminded = fact["kind"] == "later" and "remind" in line["text"]
        if fact["kind"] in ("done", "later", "skip") and "reply_to" not in line and not reminded:
            faults.append(f"{fact['kind']} answers no nudge")
    for ask in gold["asks"]:
        faults += check_slots(ask, "about", ASKS, line)
    return faults


def main():
    count, bad, seen = Counter(), 0, {}
    for path in sorted(glob.glob(os.path.join(HERE, "own-*.jsonl"))):
        with open(path, encoding="utf-8") as lines:
            for number, text in enumerate(lines, 1):
                line = json.loads(text)
                faults = check(line)
                asked = (line["text"], line.get("reply_to"), line["direct"], line["zone"], line["now"])
                faults += [f"said already in {seen[key]}" for key in (asked, line["id"]) if key in seen]
                seen[asked] = seen[line["id"]] = line["id"]
                bad += len(faults)
                for fault in faults:
                    print(f"{os.path.basename(path)}:{number} {line['id']}: {fault}")
                gold = line["gold"]
                names = {f["kind"] for f in gold["facts"]} | {"ask " + a["about"] for a in gold["asks"]}
                names |= {"unclear " + gold["unclear"]["about"]} if gold["unclear"] else set()
                count.update(names or {"silent"})
                count.update(["messages"] + ([] if line["direct"] else ["in a group, not to the bot"]))
    print("\n".join(f"{name:28}{n:5}" for name, n in sorted(count.items())))
    sys.exit(bad > 0)


if __name__ == "__main__":
    main()
