//! Function words and words of the conversation: the meanings of `words.tsv`.

macro_rules! marks {
    ($($variant:ident = $name:literal,)*) => {
        /// A function word, or a word of the conversation; the forms are in `words.tsv`.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub(crate) enum Mark {
            $($variant,)*
        }

        impl Mark {
            /// Its place in a set of function words.
            pub(crate) const fn bit(self) -> u128 {
                1 << self as u128
            }

            /// The meaning of that name in the data.
            pub(super) fn named(name: &str) -> Option<Self> {
                match name {
                    $($name => Some(Self::$variant),)*
                    _ => None,
                }
            }
        }
    };
}

marks! {
    A = "a",
    About = "about",
    All = "all",
    And = "and",
    Away = "away",
    AwayAdv = "away_adv",
    Back = "back",
    Be = "be",
    Bot = "bot",
    But = "but",
    Can = "can",
    Chart = "chart",
    Daily = "daily",
    Do = "do",
    Done = "done",
    Down = "down",
    DownTo = "down_to",
    Each = "each",
    Every = "every",
    Fertiliser = "fertiliser",
    ForeignBin = "foreign_bin",
    From = "from",
    Generic = "generic",
    HadTo = "had_to",
    Have = "have",
    Hearsay = "hearsay",
    Hello = "hello",
    Help = "help",
    History = "history",
    Hole = "hole",
    How = "how",
    HowFull = "how_full",
    HowLong = "how_long",
    HowMuch = "how_much",
    Hungry = "hungry",
    I = "i",
    If = "if",
    In = "in",
    Instead = "instead",
    It = "it",
    KitchenPlace = "kitchen_place",
    Later = "later",
    Laugh = "laugh",
    Learn = "learn",
    Left = "left",
    New = "new",
    No = "no",
    Not = "not",
    Of = "of",
    Off = "off",
    Old = "old",
    On = "on",
    Or = "or",
    OrdinalBin = "ordinal_bin",
    Other = "other",
    OutOf = "out_of",
    Owe = "owe",
    Per = "per",
    Please = "please",
    Possible = "possible",
    Ready = "ready",
    Rip = "rip",
    Rubbish = "rubbish",
    Size = "size",
    Skip = "skip",
    Someone = "someone",
    Sorry = "sorry",
    Space = "space",
    Status = "status",
    Ta = "ta",
    Temperature = "temperature",
    Thanks = "thanks",
    The = "the",
    Then = "then",
    Turn = "turn",
    Undo = "undo",
    UnitImperial = "unit_imperial",
    UnitMetric = "unit_metric",
    UnitUs = "unit_us",
    Up = "up",
    Want = "want",
    Weekly = "weekly",
    What = "what",
    When = "when",
    Where = "where",
    Which = "which",
    Who = "who",
    Whose = "whose",
    Why = "why",
    Will = "will",
    With = "with",
    Wonder = "wonder",
    Worry = "worry",
    Worth = "worth",
    Yes = "yes",
    Yet = "yet",
    You = "you",
}
