//! Cues: the words by which a rule tells one way of saying from another, where their meaning alone would not. The forms are
//! in `en/cues/`, a file for each part of the reader.

use rustc_hash::FxHashMap;

macro_rules! cues {
    ($($variant:ident,)*) => {
        /// A class of words that a rule looks for; the forms are in `en/cues/`, under its name in small letters.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub(crate) enum Cue {
            $($variant,)*
        }

        const NAMES: &[(&str, Cue)] = &[$((stringify!($variant), Cue::$variant),)*];
    };
}

const WIDTH: usize = NAMES.len().div_ceil(u64::BITS as usize);

/// The cues that one word gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct CueSet([u64; WIDTH]);

impl CueSet {
    /// No cue.
    pub(crate) const NONE: Self = Self([0; WIDTH]);

    /// Whether it has that cue.
    pub(crate) const fn has(&self, cue: Cue) -> bool {
        let place = cue as usize;
        self.0[place / 64] >> (place % 64) & 1 == 1
    }

    /// All of those cues.
    pub(crate) const fn of(cues: &[Cue]) -> Self {
        let mut all = Self::NONE;
        let mut at = 0;
        while at < cues.len() {
            all.add(cues[at]);
            at += 1;
        }
        all
    }

    /// Whether both have a cue.
    pub(crate) fn meets(&self, other: &Self) -> bool {
        self.0.iter().zip(&other.0).any(|(here, there)| here & there != 0)
    }

    const fn add(&mut self, cue: Cue) {
        let place = cue as usize;
        self.0[place / 64] |= 1 << (place % 64);
    }
}

const FILES: [&str; 9] = [
    include_str!("../../en/cues/common.tsv"),
    include_str!("../../en/cues/answers.tsv"),
    include_str!("../../en/cues/ask.tsv"),
    include_str!("../../en/cues/clause.tsv"),
    include_str!("../../en/cues/fact.tsv"),
    include_str!("../../en/cues/name.tsv"),
    include_str!("../../en/cues/settings.tsv"),
    include_str!("../../en/cues/amount.tsv"),
    include_str!("../../en/cues/time.tsv"),
];

/// The cues of every word that gives any. `vocabulary` holds the words and phrases that a form with a star stands for.
pub(super) fn english(vocabulary: &[String]) -> FxHashMap<String, CueSet> {
    let names: FxHashMap<String, Cue> = NAMES.iter().map(|(name, cue)| (in_data(name), *cue)).collect();
    let mut cues: FxHashMap<String, CueSet> = FxHashMap::default();
    for (name, form) in FILES.into_iter().flat_map(super::load::lines) {
        let Some(cue) = names.get(name) else { continue };
        let mut add = |word: &str| cues.entry(word.to_owned()).or_insert(CueSet::NONE).add(*cue);
        if form.contains('*') {
            vocabulary.iter().filter(|word| stands_for(form, word)).for_each(|word| add(word));
        } else {
            add(form);
        }
    }
    cues
}

/// `LedTo` as the data has it: `led_to`.
fn in_data(name: &str) -> String {
    let parted = |c: char| if c.is_uppercase() { format!("_{}", c.to_lowercase()) } else { c.to_string() };
    name.chars().map(parted).collect::<String>().trim_start_matches('_').to_owned()
}

/// Whether a form with a star at its end, at its beginning or at both stands for `word`.
fn stands_for(form: &str, word: &str) -> bool {
    match (form.strip_prefix('*'), form.strip_suffix('*')) {
        (Some(rest), Some(_)) => word.contains(rest.trim_end_matches('*')),
        (Some(end), None) => word.ends_with(end),
        (None, Some(stem)) => word.starts_with(stem),
        (None, None) => false,
    }
}

cues! {
    // common.tsv
    About, And, Another, As, At, CalledOut, CallsAll, Capacity, Complaint, Cooked, From, Good, Half, Hesitates, In, InsteadOf,
    Ish, It, MineOrUs, More, MyOrOur, Nearly, Next, Not, NothingCame, Of, Old, On, One, OpensSpeech, OtherOrder,
    PlainThanks, PlainYou, Recipe, ShutUp, TailS, That, The, There, To, Up, Waiting, WishesTo, WouldYou,
    // answers.tsv
    Actually, All, Already, AroundVerdict, Back, Correction, Corrects, DailyPlace, Did, Entry, Errand, Excuse,
    Flow, FlowWhat, GiveMe, GoesIn, GoneOrAway, Home, LastWhat, Latest, LeadsToValue, Leaving, Leisure, MakeIt,
    MuchOrMany, Nearby, Neither, No, NoneCame, Nope, Nor, NoProblem, NotReturning, NotSoMuch, OffTo, Okay, PlainNo,
    Possessive, Problem, Rather, Replaces, Returned, Revert, Safe, SaidBefore, ShouldBe, Shred, Sorry, SorryFor, StayingAt,
    ThatEntry, ThisTime, Travels, Wait, Well,
    // ask.tsv
    Abilities, Accepts, Advice, AfterFood, Allowed, Amiss, AnyThere, Anything, Assigned, Been, BeenGoing,
    BeforeFood, BinAffairs, BranAsFood, Burying, Causes, Depth, Digs, Dilute, Dilution, Diverted, Does, Doing,
    DoseNeeded, Draining, Due, Everything, Expected, Extent, Ferments, FullWhen, Gathers, GoesWhere, Grounds,
    Harmful, Help, Hole, IdleWord, Inform, InOrderTo, ItOrMore, JuiceOrTea, Knows, LastDid, LedIn, LedInto, LedTo,
    Litter, Low, Make, Making, Me, Mends, ModalDo, MullsOver, Must, My, NamesItself, NearFull, Need, NextUp, NumberNoun,
    OnOrShould, Opened, Orders, Origin, Packaging, Particle, PastAsked, Planting, PlotWord, Process, PutIn,
    Ratio, ReadyYet, Rota, RotaSpan, RunsOut, SafeToPlant, Shopping, Should, SmallTalk, Spot, StillMore,
    StockLeft, Supposed, TakesFood, Tally, Tell, ToBeDone, TurnOfMine, Undiluted, Until, WasOrWere, Waste,
    WaterOrThin, WeDiverted, WentIn, Where, WhereAt, Which, Yearly,
    // clause.tsv
    Across, Off, Adds, AllBins, Any, Anybody, Article, Aside, AsksAll, AsksOthers, BeforeMeal, BeforeVerb, BinLed, BinProper,
    BothBins, Brought, ByWhom, Can, Choice, Contracted, Degree, Direction, Dish, Do, DoOrWill, Drinks, EachBin, Either,
    Earlier, EndParticle, Except, Explains, FedTo, Finite, FromOut, FullUp, Gets, GoesOn, Growing, Guesses, HadClipped,
    Hope, How, IMean, IdleInWish, Inside, InThem, Into, IntoOrTo, IsOrAre, Judged, Label, LaterThen, Leaves, LedDown,
    LedI, LeftBehind, LevelNoun, Little, Logs, Meal, Might, Modal, ModalOrDo, NoAttribute, Nothing, OfCapacity, OneBin, OrNot,
    Owner, OwnerWord, Part, PartJoint, PartOfFood, PassesOn, PerBin, Reaches, Remains, Reported, Seals, Seems,
    ShareFull, Soil, Stands, Supposes, Tells, Them, Themselves, ThisComing, They, Through, ThrownAway, Toward, Under, Verdict,
    Vessel, WasDone, Way, WayFull, WhenIts, Whens, Whether, Who, Wishes, Your,
    // fact.tsv
    Acidity, Adverb, AfterTap, Again, AnotherThere, AnyMore, AnySmell, AroundTap, AroundTime, Arrives, AsWell,
    AtPlace,
    BeforeCrop, BeforePassive, Below, BinOrBucket, Brings, Broken, Bugs, Bulges, CameOff, CanOrCould, Chucks,
    CompostHeap, Corner, CountsFor, Creatures, Delivers, Delivery, Draws, Dug, EachAll, Eats, Empties, Empty, EndsName, Equals, Evenly,
    Every, Feeds, Feels, FineLid, FirstThing, Flows, Fly, For, Forgot, Freezer, Fuzz, GaveUs, GoneState, Got, Ground,
    Growth, Had, HandsOver, Has, HasHad, Healthy, Here, Him, HoldsIt, HoldsWord, Homemade, InOrder, InStock, InTotal, IntoThe,
    Is, Its, Juice, Just, Leaks, LedOf, LedOff, LedToo, Less, LetBe, Lets, Like, List, Longer, Looks, Lost,
    MeasureWord, MoistureNoun, Money, Mouse, Moves, Named, NameWord, NearIt, NearlyOut, NiceSmell, NoLonger, NoMore,
    OfStuff, OfUsAll, OnGround, OnTo, OnTop, OnTopOf, Other, OtherVessel, OtherWetThings, Ours, Out, Outdoors, Over, Owns, Plus, Presses,
    PutAway, Rate, Renames, Replaced, ReplacedBy, Rest, Right, Rows, RunningLow, Same, Scrapped, Second, Senses,
    Service, SetDown, SetsUp, SetupFiller, SetupOpening, ShortOf, Sized, SmellWord, So, Spills, Stinks, StockLevel, Stolen,
    SamePlace, Stopped, Store, Takes, Tapless, Than, ThatIs, Thermometer, ThrownIt, Throws, ToGo, Too, Top, TopLayer, Twice, UsedUp, Volume,
    Weighs, Whereabouts, WholeLot, With, Without,
    // name.tsv
    AboutOf, AtAbout, AwayOut, AwayTo, Bins, Bottle, CorrectsName, EmptiesOrThrows, Former, Given, IntoUnder, ItOrThat, Latter, LedA,
    Mouldy, Needs, NumberSign, Preposition, ShopNoun, Still, SubjectVerb, TheOther, TheTyped, TopsOrFed, Was,
    // settings.tsv
    DailyDigest, Litres, LiveIn, LocatedIn, Notify, Prefer, PreferWhat, Stop, TurnOn, Us, ZoneWord,
    // amount.tsv
    AndClipped, AnotherOne, Between, Both, Breadth, By, ByOrTimes, Deep, DegreesJoint, Extra, Feet, Fresh, Full,
    Grand, Last, LetterA, LetterC, Lots, Minus, Multiplies, Nought, Or, OursOrThe, Point, RangeJoint,
    // time.tsv
    After, AnyLead, BackAgo, Before, ClockLead, DegreeLetter, EarlyLate, End, FromNow, Gone, Hence, Hours, HoursAfter,
    LastWeek, LeadsClock, LeadsPart, Minutes, Noon, NoSaturday, NoSunday, Now, Oh, PartLed, PartOfDay, Prior,
    Quarter, Rough, RoughOf, Sat, SaysEarlier, ShortDay, Since, Starting, Sun, TheOrAnother, TheOrThis, Time,
    Times, UntilJoint, Weekend, WithinSpan,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lexicon::english as lexicon;

    fn all() -> impl Iterator<Item = (&'static str, &'static str)> {
        FILES.into_iter().flat_map(crate::lexicon::load::lines)
    }

    #[test]
    fn every_cue_has_its_forms_and_every_line_its_cue() {
        let names: Vec<String> = NAMES.iter().map(|(name, _)| in_data(name)).collect();
        for name in &names {
            assert!(all().any(|(found, _)| found == name), "{name} has no forms");
        }
        for (name, form) in all() {
            assert!(names.iter().any(|known| known == name), "{name}: {form}");
        }
    }

    /// Several words are one token only where they are a phrase of the vocabulary: a cue of words that are none never fires.
    #[test]
    fn several_words_are_a_phrase() {
        let plain = |form: &str| !form.starts_with('\'') && !form.contains('*');
        let dead: Vec<_> = all().filter(|(_, form)| plain(form) && !is_one_token(form)).collect();
        assert!(dead.is_empty(), "{dead:?}");
    }

    fn is_one_token(form: &str) -> bool {
        let text = crate::text::tokenise(form);
        let word_at = |at: usize| (at < text.tokens.len()).then(|| text.word(at));
        let phrase = lexicon().phrase(text.word(0), word_at).map(|(_, words)| words);
        text.tokens.len() == 1 || phrase == Some(text.tokens.len())
    }
}
