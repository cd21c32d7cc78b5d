"""Writes cardinals.txt: every integer from 0 to 10,000, and samples beyond, in words as the general-purpose library
num2words (from the Python Package Index, LGPL) spells them in English. `pip install num2words && python cardinals.py`.

Each line is front-coded: how many characters it shares with the line before, a space, the rest; samples are `number words`."""
from num2words import num2words


def main():
    previous, lines = "", []
    for number in range(10_001):
        words = num2words(number)
        shared = 0
        while shared < min(len(previous), len(words)) and previous[shared] == words[shared]:
            shared += 1
        lines.append(f"{shared} {words[shared:]}")
        previous = words
    samples = [10_001, 12_345, 20_000, 34_567, 99_999, 100_000, 123_456, 250_000, 500_500, 999_999, 1_000_000, 1_234_567, 2_500_000]
    lines.append("#")
    lines += [f"{number} {num2words(number)}" for number in samples]
    with open("cardinals.txt", "w", encoding="utf-8") as out:
        out.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
