//! Who did what: the work of each in a span of time.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};

use crate::fact::What;
use crate::quantity::density;
use crate::state::{Room, effort};
use crate::units::{Grams, Millilitres};

/// What one person did in a while.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Share {
    /// The person's id.
    pub person: String,
    /// How long the work of turns takes, in minutes; see [`effort`].
    pub minutes: f64,
    /// The scraps they put in; what was weighed by the room's density.
    pub scraps: Millilitres,
    /// How often they drained a bin.
    pub drained: u32,
    /// How often they looked and smelled.
    pub checked: u32,
    /// How often they sealed a bin.
    pub sealed: u32,
    /// How often they buried a batch.
    pub buried: u32,
    /// How often they washed a bin.
    pub washed: u32,
    /// How often they made bran.
    pub made_bran: u32,
    /// How often they threw a batch out.
    pub thrown_out: u32,
}

/// The share of each who did something from `from` on and before `until`, who worked most first.
pub fn shares(room: &Room, from: DateTime<Utc>, until: DateTime<Utc>) -> Vec<Share> {
    let mut shares: BTreeMap<&str, Share> = BTreeMap::new();
    let told = room.facts().filter(|fact| from <= fact.at && fact.at < until);
    for fact in told.filter(|fact| room.person(&fact.author).is_some()) {
        shares.entry(&fact.author).or_default().add(room, &fact.what);
    }
    let named = shares.into_iter().map(|(person, share)| Share { person: person.to_owned(), ..share });
    let mut shares: Vec<Share> =
        named.filter(|share| share.minutes > 0.0 || share.scraps > Millilitres::ZERO).collect();
    shares.sort_by(|one, other| {
        let minutes = other.minutes.total_cmp(&one.minutes);
        minutes.then(other.scraps.get().total_cmp(&one.scraps.get()))
    });
    shares
}

impl Share {
    fn add(&mut self, room: &Room, what: &What) {
        self.minutes += effort(what).unwrap_or_default();
        match what {
            What::Drained { .. } => self.drained += 1,
            What::Checked { .. } => self.checked += 1,
            What::Sealed { .. } => self.sealed += 1,
            What::Buried { .. } => self.buried += 1,
            What::Cleaned { .. } => self.washed += 1,
            What::StarterMade { .. } => self.made_bran += 1,
            What::Discarded { .. } => self.thrown_out += 1,
            What::Scraps { ml, g, .. } => {
                let weighed = || g.map(|g| Grams(g) / density::of(room).value);
                self.scraps += ml.map(Millilitres).or_else(weighed).unwrap_or(Millilitres::ZERO);
            }
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fact::Fact;

    #[test]
    fn each_has_what_they_told_in_the_span() {
        let day = |day: u32| format!("2027-03-{day:02}T09:00:00Z").parse::<DateTime<Utc>>().unwrap();
        let bin = || "green".to_owned();
        let member = |name: &str| {
            ("", 1, What::Member { person: name.to_owned(), name: name.to_owned(), steward: false })
        };
        let scraps = |ml, g| What::Scraps { bin: bin(), ml, g, foods: Vec::new() };
        let told = [
            member("ada"),
            member("bo"),
            ("ada", 2, scraps(Some(2_000.0), None)),
            ("bo", 3, scraps(None, Some(1_000.0))),
            ("bo", 4, What::Sealed { bin: bin() }),
            ("ada", 9, What::Checked { bin: bin(), signs: crate::fact::Signs::default() }),
        ];
        let facts: Vec<Fact> = (1..)
            .zip(told)
            .map(|(seq, (author, at, what))| Fact {
                seq,
                event: String::new(),
                author: author.to_owned(),
                at: day(at),
                told: day(at),
                what,
            })
            .collect();
        let shares = shares(&Room::fold(&facts), day(1), day(8));
        assert_eq!(shares.iter().map(|share| share.person.as_str()).collect::<Vec<_>>(), ["bo", "ada"]);
        assert_eq!((shares[0].sealed, shares[0].scraps), (1, Millilitres(2_000.0)), "half a kilo is a litre");
        assert_eq!((shares[1].checked, shares[1].scraps), (0, Millilitres(2_000.0)));
    }
}
