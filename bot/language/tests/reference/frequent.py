"""Writes frequent.txt: the 10,000 most frequent English words of at least four letters, from the data of the library
wordfreq (from the Python Package Index; its data are under CC BY-SA 4.0, see its NOTICE: drawn from Wikipedia, subtitles,
news, books and the web by R. Speer). `pip install wordfreq && python frequent.py`."""
from wordfreq import top_n_list


def main():
    words = [word for word in top_n_list("en", 40_000) if word.isascii() and word.isalpha() and len(word) >= 4]
    with open("frequent.txt", "w", encoding="utf-8") as out:
        out.write("# wordfreq (R. Speer), large English list, the 10,000 most frequent words of four letters or more; CC BY-SA 4.0\n")
        out.write("\n".join(words[:10_000]) + "\n")


if __name__ == "__main__":
    main()
