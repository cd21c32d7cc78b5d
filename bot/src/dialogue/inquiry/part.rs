//! What a question may be made of.

/// The parts, each with the text that lists its words.
macro_rules! parts {
    ($($(#[$doc:meta])* $part:ident = $id:literal,)*) => {
        /// What a question may be made of.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub(super) enum Part {
            $($(#[$doc])* $part,)*
        }

        impl Part {
            /// The text that lists its words.
            pub(super) fn id(self) -> &'static str {
                match self {
                    $(Self::$part => $id,)*
                }
            }
        }
    };
}

parts! {
    // What is asked.
    HowMuch = "inquiry-how-much-words",
    HowLong = "inquiry-how-long-words",
    HowFar = "inquiry-how-far-words",
    Spread = "inquiry-spread-words",
    HowWet = "inquiry-how-wet-words",
    HowTo = "inquiry-how-to-words",
    Which = "inquiry-which-words",
    Lead = "inquiry-lead-words",
    Begin = "inquiry-begin-words",
    If = "inquiry-if-words",
    Would = "inquiry-would-words",
    May = "inquiry-may-words",
    Might = "inquiry-might-words",
    Chance = "inquiry-chance-words",
    Wonder = "inquiry-wonder-words",
    Reason = "inquiry-reason-words",
    // What is asked about.
    Bin = "inquiry-bin-words",
    Bins = "inquiry-bins-words",
    Bran = "inquiry-bran-words",
    Can = "inquiry-can-words",
    Compost = "inquiry-compost-words",
    Container = "inquiry-container-words",
    Emissions = "inquiry-emissions-words",
    Feed = "inquiry-feed-words",
    Ground = "inquiry-ground-words",
    Nitrogen = "inquiry-nitrogen-words",
    Flat = "inquiry-flat-words",
    Pot = "inquiry-pot-words",
    Soil = "inquiry-soil-words",
    Ph = "inquiry-ph-words",
    Strip = "inquiry-strip-words",
    Tea = "inquiry-tea-words",
    Trench = "inquiry-trench-words",
    Water = "inquiry-water-words",
    Year = "inquiry-year-words",
    // What is wanted of it, and is not so yet.
    Wanted = "inquiry-wanted-words",
    // What is said of it.
    All = "inquiry-all-words",
    Bury = "inquiry-bury-words",
    Deep = "inquiry-deep-words",
    Enough = "inquiry-enough-words",
    Ferment = "inquiry-ferment-words",
    Full = "inquiry-full-words",
    Had = "inquiry-had-words",
    Last = "inquiry-last-words",
    LeftOver = "inquiry-left-over-words",
    Made = "inquiry-made-words",
    Make = "inquiry-make-words",
    Mix = "inquiry-mix-words",
    More = "inquiry-more-words",
    Need = "inquiry-need-words",
    Next = "inquiry-next-words",
    Room = "inquiry-room-words",
    Short = "inquiry-short-words",
    Soon = "inquiry-soon-words",
    Stuck = "inquiry-stuck-words",
    Weaker = "inquiry-weaker-words",
    Wide = "inquiry-wide-words",
    Without = "inquiry-without-words",
}
