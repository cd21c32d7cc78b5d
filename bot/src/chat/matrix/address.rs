//! Whether a text is meant for the bot, and the text without the address.

/// What the bot answers to.
#[derive(Clone, Debug)]
pub(super) struct Names {
    /// The longest first, so that an address is taken off whole.
    names: Vec<String>,
}

impl Names {
    /// The names of an account: its id, the part of it before the colon, and the name it shows.
    pub(super) fn new(id: &str, localpart: &str, shown: Option<&str>) -> Self {
        let mut names: Vec<String> =
            [Some(id), Some(localpart), shown].into_iter().flatten().map(ToOwned::to_owned).collect();
        names.retain(|name| !name.trim().is_empty());
        names.sort_by_key(|name| std::cmp::Reverse(name.len()));
        Self { names }
    }

    /// Whether one of the names stands in the text as a word of its own, however it is capitalised.
    pub(super) fn occur_in(&self, text: &str) -> bool {
        let starts = text
            .char_indices()
            .filter(|(at, _)| text[..*at].chars().next_back().is_none_or(|before| !before.is_alphanumeric()));
        starts.into_iter().any(|(at, _)| self.at_start_of(&text[at..]).is_some())
    }

    /// The text without an address at its beginning (`Branbell: added 2 l`); the text itself where there is none, or
    /// nothing else.
    pub(super) fn taken_off<'t>(&self, text: &'t str) -> &'t str {
        let address = text.trim_start();
        let Some(rest) = self.at_start_of(address).or_else(|| self.at_start_of(address.strip_prefix('@')?))
        else {
            return text;
        };
        let rest = rest.trim_start_matches([':', ',']).trim_start();
        if rest.is_empty() { text } else { rest }
    }

    /// What follows a name at the very start of the text.
    fn at_start_of<'t>(&self, text: &'t str) -> Option<&'t str> {
        let rests = self.names.iter().filter_map(|name| strip_name(text, name));
        rests.into_iter().find(|rest| rest.chars().next().is_none_or(|after| !after.is_alphanumeric()))
    }
}

fn strip_name<'t>(text: &'t str, name: &str) -> Option<&'t str> {
    let mut rest = text.chars();
    for wanted in name.chars() {
        if !rest.next()?.to_lowercase().eq(wanted.to_lowercase()) {
            return None;
        }
    }
    Some(rest.as_str())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn names() -> Names {
        Names::new("@branbell:example.org", "branbell", Some("Bin Keeper"))
    }

    #[test]
    fn a_name_counts_as_a_word_only() {
        for text in ["branbell, drained?", "hey Branbell!", "ask @branbell:example.org", "BIN KEEPER full?"] {
            assert!(names().occur_in(text), "{text}");
        }
        for text in ["branbells", "sub-branbellx", "keeper of the bin", "added 3 litres", ""] {
            assert!(!names().occur_in(text), "{text}");
        }
    }

    #[test]
    fn the_address_is_taken_off() {
        for text in [
            "branbell: added 3 l",
            "Bin Keeper, added 3 l",
            "@branbell added 3 l",
            " @branbell:example.org: added 3 l",
            "added 3 l",
        ] {
            assert_eq!(names().taken_off(text), "added 3 l");
        }
        assert_eq!(names().taken_off("branbells 3 l"), "branbells 3 l");
        assert_eq!(names().taken_off("Branbell?"), "?");
        assert_eq!(names().taken_off("Branbell"), "Branbell");
    }

    proptest! {
        #[test]
        fn no_text_is_too_odd(text in "\\PC*", shown in "\\PC*") {
            let names = Names::new("@b:example.org", "b", Some(&shown));
            let _ = names.occur_in(&text);
            prop_assert!(text.ends_with(names.taken_off(&text)));
        }
    }
}
