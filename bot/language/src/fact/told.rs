//! Whether a clause tells anything that is recorded: plans, orders, hearsay and what befalls others are not.

use crate::clause::{Clause, Gist, Subject};
use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense, TimeUnit, TimeWord};
use crate::name::NameKind;
use crate::text::Text;
use crate::time::{Date, Direction, Flag, Placed, When};

use crate::reading::FactKind;

use super::{Builder, symptoms};

/// `1 l a day`, `max 2 litres per week`, `every two days`: how it is done as a rule.
fn is_habit(text: &Text<'_>, clause: &Clause) -> bool {
    let unit = |at: usize| {
        matches!(text.time_unit(at), Some(TimeUnit::Day | TimeUnit::Week | TimeUnit::Month | TimeUnit::Night))
            || matches!(text.time(at), Some(TimeWord::Weekday(_)))
    };
    (clause.from..clause.to).any(|at| {
        let rate = text.is(at, Cue::Rate)
            && unit(at + 1)
            && text.unit(at.wrapping_sub(1)).is_some()
            && !(text.is_time(at + 2, TimeWord::Ago) || text.has(at + 2, Mark::Or));
        let every = text.is(at, Cue::Every)
            && (unit(at + 1)
                || unit(at + 2)
                    && (text.cardinal(at + 1).is_some()
                        || text.digits(at + 1).is_some()
                        || text.has(at + 1, Mark::The)
                        || text.is(at + 1, Cue::Other)
                        || text.is(at + 1, Cue::Second)));
        rate || every || text.has_any(at, &[Mark::Daily, Mark::Weekly]) && clause.verb.is_some()
    })
}

impl Builder<'_, '_> {
    /// In a question, only what it takes for granted is told: `why does it smell of ammonia?`
    pub(super) fn stands_asserted(&self, index: usize) -> bool {
        let (text, clause) = (&self.scene.text, &self.scene.clauses[index]);
        let about = (clause.from..clause.to).any(|at| {
            text.has(at, Mark::Worry)
                && text.is(at + 1, Cue::About)
                && text.has_any(at + 2, &[Mark::The, Mark::It])
        });
        let amount = self.scene.gists[index].lots.iter().any(|lot| lot.amount.is_some());
        // `help, fruit flies in green`
        let cries = text.has(clause.from, Mark::Help) && clause.verb.is_none();
        // `how do I get rid of maggots in green?`
        let mends = |verb: crate::clause::Verb| verb.act == Act::Remove;
        let how =
            clause.verb.is_some_and(mends) && (clause.from..clause.to).any(|at| text.has(at, Mark::How));
        about || cries || how || text.has(clause.from, Mark::Why) && !amount
    }

    /// Whether the clause tells nothing that is recorded.
    pub(super) fn blocked(&self, clause: &Clause, gist: &Gist) -> bool {
        let (stance, text) = (clause.stance, &self.scene.text);
        let direct = self.scene.message.direct;
        if (clause.from..clause.to).any(|at| self.scene.text.is(at, Cue::Recipe)) {
            return true;
        }
        // `weka next`, `green tomorrow`
        let ahead = |at: usize| {
            matches!(text.time(at), Some(TimeWord::Next)) && at + 1 == clause.to
                || text.time(at) == Some(TimeWord::Day(1))
        };
        if clause.verb.is_none()
            && !gist.bins.is_empty()
            && self.current.is_some()
            && (clause.from..clause.to).any(ahead)
        {
            return true;
        }
        // `sealed green, next one is cellar`
        let to_come = |at: usize| text.is_time(at, TimeWord::Next) || text.is(at, Cue::Next);
        if clause.verb.is_none()
            && !gist.bins.is_empty()
            && gist.lots.is_empty()
            && (clause.from..clause.to.min(clause.from + 3)).any(to_come)
        {
            return true;
        }
        // `closing list:`: a heading, and nothing that was done
        let heads = text.is_word(clause.to, ":") || text.is_word(clause.to, "\n");
        let going_on = clause.verb.is_some_and(|verb| verb.forms == Forms::ING && verb.at == clause.from);
        if heads && going_on && gist.bins.is_empty() && gist.lots.is_empty() {
            return true;
        }
        // `2 litres waiting for blue`, `3 litres to go in`
        let waits =
            |at: usize| text.is(at, Cue::Waiting) || text.is(at, Cue::ToGo) && text.has(at + 1, Mark::In);
        // `list what went in`
        let opening =
            (clause.from..clause.to).find(|at| !(text.has(*at, Mark::Bot) || text.is_sign(*at, '@')));
        let lists = opening.is_some_and(|at| text.is(at, Cue::List) && text.has(at + 1, Mark::What));
        // `give me the steps for 2 kg of bran`
        let orders = clause.verb.is_some_and(|verb| {
            verb.act == Act::Show && verb.forms.has(Forms::BASE) && opening == Some(verb.at)
        });
        if lists || orders || tells_of_other_things(text, clause, gist) || (clause.from..clause.to).any(waits)
        {
            return true;
        }
        if stance.conditional
            || stance.hearsay
            || stance.story
            || self.happens_to_others(clause)
            || self.is_announced(clause, gist)
        {
            return true;
        }
        if matches!(stance.subject, Subject::You) && clause.verb.is_some() {
            return true;
        }
        if stance.negated
            && clause.verb.is_some()
            && symptoms(self.scene, clause).is_none()
            && !super::liquid::nothing_came(self, clause)
        {
            return true;
        }
        if stance.planned && !self.plan_is_told(clause) {
            return true;
        }
        // `add a bin called biscuit`
        let names_bin = direct
            && (clause.from..clause.to).any(|at| {
                text.is_act(at, Act::Call)
                    && (clause.from..at)
                        .any(|i| text.is_matter(i, Matter::Bin) || text.is_matter(i, Matter::Plot))
            });
        // `drained already, 400 ml, pour down the toilet`
        let goes_on = self.just(FactKind::Drained)
            && gist.use_.is_some()
            && clause.verb.is_some_and(|verb| {
                let thrown = verb.act == Act::Add && text.is(verb.at, Cue::Throws) && gist.lots.is_empty();
                thrown || matches!(verb.act, Act::Pour | Act::Give | Act::Use | Act::Water)
            });
        if stance.imperative
            && !goes_on
            && !names_bin
            && clause.verb.is_some_and(|verb| verb.forms.has(Forms::BASE))
        {
            // `drain yard just now, 100 ml`: told in few words
            let told =
                gist.whens.iter().any(|(when, at)| when.flag == Some(Flag::Now) && !text.is(*at, Cue::Now));
            let logs = direct
                && (told && !gist.bins.is_empty()
                    || gist.lots.iter().any(|lot| lot.amount.is_some())
                    || gist.vague
                    || gist.count.is_some());
            return !logs
                && !clause.verb.is_some_and(|verb| {
                    matches!(verb.act, Act::Set | Act::Remove | Act::Call | Act::Start | Act::Seal) && direct
                });
        }
        false
    }

    /// `I'm making bran on Sunday`, `sealing it tonight`: what goes on is told of a day to come.
    fn is_announced(&self, clause: &Clause, gist: &Gist) -> bool {
        let zoned = &self.scene.zoned;
        let ahead = |when: &When| {
            let now = zoned.now.fixed_offset();
            match zoned.place(when, Direction::Future) {
                Placed::At(moment) => moment.at > now && zoned.place(when, Direction::Past) != Placed::Now,
                Placed::Minutes(_) => true,
                _ => false,
            }
        };
        clause.verb.is_some_and(|verb| {
            verb.forms == Forms::ING
                && self.scene.text.has_any(verb.at.wrapping_sub(1), &[Mark::Be, Mark::I])
                && gist.whens.iter().any(|(when, _)| {
                    !matches!(when.date, Some(Date::Days(days)) if days <= 0)
                        && !when.part.is_some_and(|part| part.today && part.hour < 19)
                        && ahead(when)
                })
        })
    }

    /// `I'm drained`, `our team got buried`, `the quay is closed`: done to what is no bin.
    fn happens_to_others(&self, clause: &Clause) -> bool {
        let text = &self.scene.text;
        let Some(verb) = clause.verb.filter(|verb| verb.forms.has(Forms::PARTICIPLE)) else { return false };
        // `rhubarb was planted in the long bed`
        let plot = (clause.from..clause.to).any(|at| text.name(at, NameKind::Plot).is_some());
        if verb.act == Act::Plant && plot {
            return false;
        }
        let told = !matches!(verb.act, Act::Finish | Act::Go | Act::Get | Act::Run | Act::Set | Act::Say);
        let mut passive = verb.at;
        while passive > clause.from
            && (text.has(passive - 1, Mark::Be)
                || text.is_act(passive - 1, Act::Get)
                || text.is(passive - 1, Cue::BeforePassive))
        {
            passive -= 1;
        }
        let auxiliary = (passive..verb.at).any(|at| text.has(at, Mark::Be) || text.is_act(at, Act::Get));
        if !told || !auxiliary {
            return false;
        }
        let subject = clause.from..passive;
        let me = passive > clause.from && text.has(passive - 1, Mark::I) && !text.is(passive - 1, Cue::Ours);
        let person = me && !text.is_act(passive, Act::Get);
        let of_trade = |at: usize| {
            text.tokens[at].name.is_some()
                || text.matter(at).is_some()
                || text.has_any(at, &[Mark::It, Mark::All])
                || text
                    .senses(at)
                    .iter()
                    .any(|s| matches!(s, Sense::Food(_) | Sense::Unit(_) | Sense::Kitchen(..)))
        };
        let stranger = |at: usize| {
            text.has_any(at, &[Mark::Other, Mark::Someone]) && !text.is(at, Cue::Them)
                || text.tokens[at].is_word()
                    && text.senses(at).is_empty()
                    && crate::lexicon::english().is_ordinary(text.word(at))
        };
        person || subject.clone().any(stranger) && !subject.clone().any(of_trade)
    }

    /// Some words of plans tell what is: `need to say`, `can see mould`, `the lid won't close`.
    fn plan_is_told(&self, clause: &Clause) -> bool {
        let text = &self.scene.text;
        let sees = (clause.from..clause.to).any(|at| text.is(at, Cue::Senses))
            && (clause.from..clause.to).any(|at| text.is(at, Cue::CanOrCould));
        sees && symptoms(self.scene, clause).is_some()
    }
}

/// Whether a clause tells of what is not kept here, by what it names.
fn tells_of_other_things(text: &Text<'_>, clause: &Clause, gist: &Gist) -> bool {
    feeds_creatures(text, clause, gist)
        || tells_a_price(text, clause)
        || presses_down(text, clause, gist)
        || handles_thermometer(text, clause, gist)
        || eats_it(text, clause)
        || went_to_the_rubbish(text, clause, gist)
        || is_habit(text, clause)
        || lies_elsewhere(text, clause, gist)
}

/// `fed the hens 1 kg of scraps`, `the worms got the rest`, `peelings went to the goat`: they ate it.
fn feeds_creatures(text: &Text<'_>, clause: &Clause, gist: &Gist) -> bool {
    let Some(verb) = clause.verb else { return false };
    let eaten =
        matches!(verb.act, Act::Give | Act::Get | Act::Go | Act::Take) || text.is(verb.at, Cue::Feeds);
    let creature =
        |at: usize| text.is(at, Cue::Creatures) && text.has_any(at.wrapping_sub(1), &[Mark::The, Mark::I]);
    let bin = gist.bin_noun || !gist.bins.is_empty() || gist.lots.iter().any(|lot| !lot.bins.is_empty());
    eaten && !bin && (clause.from..clause.to).any(creature)
}

/// `bran is 3 euros a kilo`: what it costs, and not what was bought.
fn tells_a_price(text: &Text<'_>, clause: &Clause) -> bool {
    let bought = clause.verb.is_some_and(|verb| verb.forms.has(Forms::PAST) && !verb.forms.has(Forms::BASE));
    !bought && (clause.from..clause.to).any(|at| text.is(at, Cue::Money))
}

/// `pressed it down hard`: part of the work, nothing that is kept.
fn presses_down(text: &Text<'_>, clause: &Clause, gist: &Gist) -> bool {
    let presses = clause.verb.is_some_and(|verb| verb.act == Act::Add && text.is(verb.at, Cue::Presses));
    let nothing = gist.lots.iter().all(|lot| lot.amount.is_none() && lot.foods.is_empty());
    presses && nothing && !gist.vague && gist.count.is_none()
}

/// `I drank about two litres of wine`; not `blue ate 3 litres of peel`.
fn eats_it(text: &Text<'_>, clause: &Clause) -> bool {
    let counted =
        |at: usize| text.digits(at).is_some() || text.cardinal(at).is_some() || text.has(at, Mark::A);
    (clause.from + 1..clause.to).any(|at| {
        let what = at + 1 + usize::from(text.has(at + 1, Mark::About));
        text.is(at, Cue::Eats) && text.has(at - 1, Mark::I) && counted(what)
    })
}

/// `..., went in the trash at 5:30`: where what was told before ended.
fn went_to_the_rubbish(text: &Text<'_>, clause: &Clause, gist: &Gist) -> bool {
    let nothing =
        gist.bins.is_empty() && gist.lots.iter().all(|lot| lot.amount.is_none() && lot.foods.is_empty());
    let went = clause.verb.is_some_and(|verb| {
        verb.at == clause.from && matches!(verb.act, Act::Add | Act::Go) && !text.is(verb.at, Cue::Throws)
    });
    went && nothing && (clause.from..clause.to).any(|at| text.has(at, Mark::Rubbish))
}

/// `I stuck the thermometer in`, and `washed it after`: nothing that is kept.
pub(super) fn handles_thermometer(text: &Text<'_>, clause: &Clause, gist: &Gist) -> bool {
    let verb = clause.verb.filter(|verb| matches!(verb.act, Act::Add | Act::Set | Act::Clean));
    let named = |from: usize, to: usize| (from..to).any(|at| text.is(at, Cue::Thermometer));
    let washed = |at: usize| text.is_act(at, Act::Clean) && text.is(at + 1, Cue::It) && named(0, at);
    let nothing = gist.temperature.is_none() && gist.lots.iter().all(|lot| lot.amount.is_none());
    verb.is_some_and(|verb| nothing && (named(verb.at.saturating_sub(1), clause.to) || washed(verb.at)))
}

/// `2 litres of scraps in the freezer`, `spilled 2 litres of peel on the floor`, `room for 2 litres in green`: in no bin.
fn lies_elsewhere(text: &Text<'_>, clause: &Clause, gist: &Gist) -> bool {
    let measured = gist.lots.iter().any(|lot| lot.amount.is_some());
    let binless = gist.bins.is_empty() && gist.lots.iter().all(|lot| lot.bins.is_empty());
    let cold = |at: usize| text.is(at, Cue::Freezer) && !text.has_any(at.wrapping_sub(1), &[Mark::From]);
    let led =
        |at: usize| (at.saturating_sub(2)..at).any(|i| text.has(i, Mark::In) && !text.has(i, Mark::From));
    let kept = (clause.from..clause.to).any(|at| cold(at) && led(at));
    let spilt = (clause.from..clause.to).any(|at| text.is(at, Cue::Spills));
    let room = (clause.from..clause.to).any(|at| text.has(at, Mark::Space) && text.is(at + 1, Cue::For));
    let dry = gist.lots.iter().any(|lot| !lot.foods.is_empty() || lot.matter == Some(Matter::Scraps));
    let removed = dry && clause.verb.is_some_and(|verb| verb.act == Act::Remove);
    // `watered the roses with 2 litres of diluted tea`
    let thinned = clause.verb.is_some_and(|verb| matches!(verb.act, Act::Water | Act::Dilute))
        && (clause.from..clause.to).any(|at| text.is_act(at, Act::Dilute));
    measured
        && (binless && (kept || spilt || thinned) || removed || room && !binless && clause.verb.is_none())
}
