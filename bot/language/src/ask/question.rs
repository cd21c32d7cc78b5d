//! A question: what its words are, whatever it is about.

use crate::clause::{BinRef, Gist, Piece, PieceKind};
use crate::lexicon::{Act, Cue, Forms, Mark, Matter, TimeUnit};
use crate::name::NameKind;
use crate::reading::{About, Ask, Slots};
use crate::scene::Scene;

/// A question: its tokens and what they name.
pub(crate) struct Question<'s, 'm> {
    pub(crate) scene: &'s Scene<'m>,
    pub(crate) from: usize,
    pub(crate) to: usize,
    pub(super) gist: Vec<&'s Gist>,
}

impl<'s, 'm> Question<'s, 'm> {
    pub(super) fn new(scene: &'s Scene<'m>, from: usize, to: usize) -> Self {
        let gist = scene
            .clauses
            .iter()
            .zip(&scene.gists)
            .filter(|(clause, _)| clause.to > from && clause.to <= to)
            .map(|(_, gist)| gist)
            .collect();
        Self { scene, from, to, gist }
    }

    pub(super) fn sentence(&self) -> usize {
        self.scene.clauses.iter().find(|clause| clause.to > self.from).map_or(0, |clause| clause.sentence)
    }

    pub(super) fn any(&self, pick: impl Fn(usize) -> bool) -> bool {
        (self.from..self.to).any(pick)
    }

    pub(super) fn has(&self, mark: Mark) -> bool {
        self.any(|at| self.scene.text.has(at, mark))
    }

    /// `when`, also in `when it's`
    pub(super) fn asks_when(&self) -> bool {
        self.has(Mark::When) || self.cue(Cue::WhenIts)
    }

    pub(super) fn act(&self, act: Act) -> bool {
        let text = &self.scene.text;
        // The close is a stairwell too.
        let place =
            |at: usize| text.has(at, Mark::KitchenPlace) && text.has_any(at.wrapping_sub(1), &[Mark::The]);
        self.any(|at| text.is_act(at, act) && text.tokens[at].name.is_none() && !place(at))
    }

    pub(super) fn matter(&self, matter: Matter) -> bool {
        self.any(|at| self.scene.text.is_matter(at, matter) && self.scene.text.tokens[at].name.is_none())
    }

    pub(super) fn cue(&self, cue: Cue) -> bool {
        self.any(|at| self.scene.text.is(at, cue) && self.scene.text.tokens[at].name.is_none())
    }

    pub(super) fn bins(&self) -> Vec<BinRef> {
        let text = &self.scene.text;
        let within = |from: usize, to: usize| -> Vec<BinRef> {
            (from..to)
                .filter_map(|at| text.name(at, NameKind::Bin).map(|name| BinRef::Known(name.index)))
                .collect()
        };
        let own = within(self.from, self.to);
        match self.supposed() {
            Some((from, to)) if own.is_empty() => within(from, to),
            _ => own,
        }
    }

    /// Whether it is put to the bot and nothing but words that `pick` takes.
    pub(super) fn is_only(&self, pick: impl Fn(usize) -> bool) -> bool {
        let text = &self.scene.text;
        let words: Vec<usize> = (self.from..self.to).filter(|at| text.tokens[*at].is_word()).collect();
        self.scene.message.direct
            && !words.is_empty()
            && words.iter().all(|at| pick(*at) || text.has_any(*at, &[Mark::And, Mark::Or, Mark::The]))
    }

    pub(super) fn plot(&self) -> Option<String> {
        let text = &self.scene.text;
        let plots: Vec<_> = (self.from..self.to).filter_map(|at| text.name(at, NameKind::Plot)).collect();
        let plot = plots.iter().find(|name| name.whole).or(plots.first())?;
        self.scene.message.plots.get(plot.index).cloned()
    }

    /// All plots that are named one beside the other: `the south bed yet, or the north bed`.
    pub(super) fn plots(&self) -> Vec<String> {
        let text = &self.scene.text;
        let joins = |at: usize| {
            text.is_stop(at) || text.has_any(at, &[Mark::And, Mark::Or, Mark::The, Mark::In, Mark::Yet])
        };
        let mut plots: Vec<String> = Vec::new();
        let mut last = None;
        for at in self.from..self.to {
            let Some(name) = text.name(at, NameKind::Plot).filter(|name| name.whole) else { continue };
            if last.is_some_and(|last: usize| !(last + 1..at).all(joins)) {
                break;
            }
            last = Some(at);
            plots.extend(self.scene.message.plots.get(name.index).cloned());
        }
        plots.dedup();
        plots
    }

    pub(super) fn amount(&self, liquid: bool) -> (Option<f64>, Option<f64>) {
        self.amount_within(self.from, self.to, liquid)
            .or_else(|| self.supposed().and_then(|(from, to)| self.amount_within(from, to, liquid)))
            .unwrap_or((None, None))
    }

    /// The question's amount, else the only one that the message tells before it: `drained 200 ml, how much water with that?`
    pub(super) fn amount_or_told(&self, liquid: bool) -> (Option<f64>, Option<f64>) {
        let own = self.amount(liquid);
        let told =
            self.scene.pieces.iter().filter(|piece| matches!(piece.kind, PieceKind::Amount(_))).count();
        if own != (None, None) || told > 1 {
            return own;
        }
        self.amount_within(0, self.from, liquid).unwrap_or(own)
    }

    /// The first amount in a range.
    pub(super) fn amount_within(
        &self,
        from: usize,
        to: usize,
        liquid: bool,
    ) -> Option<(Option<f64>, Option<f64>)> {
        let bin = self.bins().into_iter().next();
        // `how many scoops of bran`: the unit of the answer
        let asked = |at: usize| self.scene.text.has(at.wrapping_sub(1), Mark::HowMuch);
        let told = |piece: &&Piece| piece.from >= from && piece.to <= to && !asked(piece.from);
        self.scene.pieces.iter().filter(told).find_map(|piece| match piece.kind {
            PieceKind::Amount(amount) if !amount.definite => {
                Some(self.scene.size(amount, liquid, bin.as_ref()))
            }
            _ => None,
        })
    }

    /// `if I add 2 litres to green`, right before it.
    fn supposed(&self) -> Option<(usize, usize)> {
        let clauses = &self.scene.clauses;
        let own = clauses.iter().position(|clause| clause.to > self.from)?;
        let before = clauses.get(own.checked_sub(1)?)?;
        (before.stance.conditional && !before.asks && before.sentence == clauses[own].sentence)
            .then_some((before.from, before.to))
    }

    /// `I'm going to put three pounds in green, so how much bran`: what is to be done, right before it.
    pub(super) fn planned_before(&self) -> Option<(usize, usize)> {
        let clauses = &self.scene.clauses;
        let own = clauses.iter().position(|clause| clause.to > self.from)?;
        let before = clauses.get(own.checked_sub(1)?)?;
        (before.stance.planned && !before.asks && before.sentence == clauses[own].sentence)
            .then_some((before.from, before.to))
    }

    /// The slots that most questions have: the bin.
    pub(super) fn with_bin(&self, about: About) -> Vec<Ask> {
        let bins = self.bins();
        if bins.is_empty() {
            return vec![Ask { about, slots: Slots::default() }];
        }
        let mut seen: Vec<BinRef> = Vec::new();
        for bin in bins {
            if !seen.contains(&bin) {
                seen.push(bin);
            }
        }
        seen.into_iter()
            .map(|bin| Ask { about, slots: Slots { bin: self.name(&bin), ..Slots::default() } })
            .collect()
    }

    pub(super) fn name(&self, bin: &BinRef) -> Option<String> {
        match bin {
            BinRef::Known(index) => Some(self.scene.bin_name(*index)),
            BinRef::Unknown(_) | BinRef::Undecided => None,
        }
    }

    /// In a room of people: does the question plainly speak of the bins?
    pub(super) fn of_the_trade(&self, asks: &[Ask]) -> bool {
        // `added 2 l to green. when is it full?`
        let told = |gist: &Gist| !gist.bins.is_empty() || gist.lots.iter().any(|lot| !lot.bins.is_empty());
        let points = self.has(Mark::It) || self.has(Mark::Space) && self.cue(Cue::There);
        let referred = points && self.scene.gists.iter().any(told);
        let bin = !self.bins().is_empty() || self.matter(Matter::Bin) || self.plot().is_some() || referred;
        let foreign = self.has(Mark::ForeignBin);
        // `how much bran goes on 2 kg of bread?`
        let dose = self.has(Mark::HowMuch) && self.amount(false) != (None, None);
        let bran = self.matter(Matter::Bran) && (dose || !self.cue(Cue::BranAsFood));
        // `how much bran have we left in the store`
        let bran = bran && (self.has(Mark::Left) || !self.cue(Cue::Shopping));
        // `drained 300 ml. how much water for that?`
        let drained = (0..self.from).any(|at| self.scene.text.is_act(at, Act::Drain));
        // `made 2 kg of bran, how much is there now?`
        let drawn_from_told =
            !self.cue(Cue::Shopping) && (0..self.from).any(|at| self.scene.text.is_matter(at, Matter::Bran));
        let liquid =
            self.matter(Matter::Liquid) || drained && self.matter(Matter::Water) && self.has(Mark::It);
        let there = self.cue(Cue::There) && self.scene.gists.iter().any(|gist| !gist.plots.is_empty());
        asks.iter().all(|ask| match ask.about {
            About::Rota => self.rota_of_bins(),
            About::Acceptable => {
                bin && !(ask.slots.item.is_some() && self.is_of_a_place())
                    || self.cue(Cue::Process)
                    || !ask.slots.foods.is_empty() && self.put_in()
            }
            About::Help | About::Why | About::Chart => bin && ask.about == About::Chart,
            // `does bran go off?`
            About::Bran => {
                bran && (ask.slots != Slots::default() || self.has(Mark::HowMuch) || self.act(Act::Add))
            }
            About::Stock | About::Recipe => bran || drawn_from_told && ask.about == About::Stock,
            About::Dilution => liquid,
            About::Trouble => {
                bin && self.plot().is_none()
                    || self.scene.gists.iter().any(|gist| !gist.bins.is_empty() || gist.bin_noun)
            }
            About::Tally => {
                self.cue(Cue::WeDiverted) && (bin || self.cue(Cue::Waste) || self.matter(Matter::Scraps))
            }
            About::Planting if there => true,
            About::Planting | About::Burying => bin || self.plot().is_some(),
            _ => bin && !self.is_of_a_place(),
        }) && (!foreign || asks.iter().all(|ask| ask.about == About::Tally))
    }

    /// `did the garage say when the car's ready`, `how long is the garage going to be closed`: the place, and not the bin that
    /// has its name.
    fn is_of_a_place(&self) -> bool {
        let text = &self.scene.text;
        let place =
            |bin: &BinRef| matches!(bin, BinRef::Known(index) if self.scene.named_after_place(*index));
        let strange = |at: usize| {
            text.tokens[at].is_word()
                && text.tokens[at].name.is_none()
                && text.senses(at).is_empty()
                && !text.is(at, Cue::NoAttribute)
                && !text.is(at, Cue::StillMore)
                && crate::lexicon::english().is_ordinary(text.word(at))
        };
        let bins = self.bins();
        !bins.is_empty()
            && bins.iter().all(place)
            && !self.matter(Matter::Bin)
            && (self.act(Act::Seal) || self.any(strange))
    }

    /// `can we put bones in?`: in what, if not in the bins that the room is about?
    pub(super) fn put_in(&self) -> bool {
        let text = &self.scene.text;
        let last = (self.from..self.to).rev().find(|at| text.tokens[*at].is_word());
        (self.act(Act::Add) || self.act(Act::Go))
            && (self.has(Mark::I) || self.has(Mark::Do) || self.has(Mark::Can))
            && last.is_some_and(|at| text.is(at, Cue::In) || text.is(at, Cue::LedIn))
    }

    /// `can my tubers go in the dahlia bed yet?`: something other than a batch or its liquid, into a plot.
    pub(super) fn goes_into_plot(&self) -> bool {
        let text = &self.scene.text;
        let plot = |at: usize| text.name(at, NameKind::Plot).is_some();
        let into = |at: usize| text.has(at, Mark::In) && (at + 1..self.to.min(at + 3)).any(plot);
        // `can leeks go in the herb bed`: `go in` is one token
        let goes_in = |at: usize| text.word(at).contains(' ') && (at + 1..self.to.min(at + 3)).any(plot);
        let put = (self.from..self.to)
            .find(|at| text.is_act(*at, Act::Go) || text.is_act(*at, Act::Add) || text.is_act(*at, Act::Get))
            .is_some_and(|at| goes_in(at) || (at..self.to).any(into));
        // `is it too early to put`
        let is_dummy = |at: usize| text.has(at + 1, Mark::Be) || text.has(at.wrapping_sub(1), Mark::Be);
        let things = [Matter::Bin, Matter::Batch, Matter::Liquid, Matter::Bran, Matter::Scraps];
        let asks = self.has(Mark::Can)
            || self.has(Mark::Be)
            || self.has(Mark::Possible)
            || self.has(Mark::When)
            || self.has(Mark::HowLong)
            || self.cue(Cue::MullsOver);
        put && asks
            && !self.has(Mark::HowMuch)
            && self.bins().is_empty()
            && !self.any(|at| text.has(at, Mark::It) && !is_dummy(at))
            && !things.iter().any(|thing| self.matter(*thing))
    }

    /// Whether it tells of something that was done.
    pub(super) fn is_past(&self) -> bool {
        let past = |forms: Forms| forms.has(Forms::PAST) && !forms.has(Forms::BASE);
        self.any(|at| self.scene.text.verb(at).is_some_and(|(_, forms)| past(forms)))
    }

    /// `has blue had its two weeks yet?`
    pub(super) fn has_had_its_time(&self) -> bool {
        let text = &self.scene.text;
        let long = |at: usize| matches!(text.time_unit(at), Some(TimeUnit::Week | TimeUnit::Day));
        // `does blue need another week?`
        let needs = text.has(self.from, Mark::Do) && self.cue(Cue::Needs);
        // `is two weeks enough for blue?`, `should I wait longer with blue?`
        let opens = text.has_any(self.from, &[Mark::Have, Mark::Be]) || needs;
        let waits = text.has_any(self.from, &[Mark::Can, Mark::Do])
            && self.cue(Cue::Wait)
            && (self.cue(Cue::Longer) || self.cue(Cue::StillMore));
        // `sealed blue 10 days ago, is that long enough?`
        let told = (0..self.from).any(|at| text.is_act(at, Act::Seal));
        // `long` may be part of a plot's name as well.
        let long_enough = self.any(|at| text.is(at, Cue::Extent)) && self.cue(Cue::Low);
        if told && self.has(Mark::It) && long_enough {
            return true;
        }
        // `are the two weeks up on blue?`
        let up = |at: usize| long(at) && text.has(at + 1, Mark::Up);
        let enough = !text.has(self.from, Mark::Be) || self.cue(Cue::Low) || self.any(up);
        !self.bins().is_empty() && (opens && enough && self.any(long) || waits)
    }

    /// `when do we run out of space in blue?`
    pub(super) fn runs_out_of_room(&self) -> bool {
        self.has(Mark::Space) && (self.act(Act::Run) || self.has(Mark::OutOf) || self.has(Mark::No))
    }

    /// `how far do I water it down?`
    pub(super) fn waters_down(&self) -> bool {
        let text = &self.scene.text;
        self.any(|at| {
            text.is(at, Cue::WaterOrThin) && text.has(at + 1, Mark::It) && text.has(at + 2, Mark::Down)
        })
    }

    /// `whose turn is it`, where it goes on with nothing or with work on the bins.
    pub(super) fn rota_of_bins(&self) -> bool {
        let text = &self.scene.text;
        let turn = (self.from..self.to).find(|at| text.has(*at, Mark::Turn)).unwrap_or(self.from);
        let work = self.act(Act::Drain)
            || self.act(Act::Seal)
            || self.act(Act::Bury)
            || self.matter(Matter::Bin)
            || !self.bins().is_empty()
            || self.matter(Matter::Bran)
            || self.matter(Matter::Liquid);
        let idle = |at: usize| {
            !text.tokens[at].is_word()
                || text.has_any(at, &[Mark::Be, Mark::It, Mark::Yet, Mark::Laugh])
                || text.time(at).is_some()
                || text.is(at, Cue::IdleWord)
                || text.is(at, Cue::EndParticle)
                // `on Sunday`
                || text.has(at, Mark::In) && text.time(at + 1).is_some()
        };
        work || (turn + 1..self.to).all(idle)
    }
}
