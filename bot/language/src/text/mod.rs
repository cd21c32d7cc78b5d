//! From characters to tokens: words in lower case without accents, numerals, clock faces, dates, stops.

mod annotate;
mod fold;
mod look;
mod mend;
mod numeral;
mod request;
mod token;
mod tokenise;
mod trim;

pub(crate) use annotate::annotate;
pub(crate) use fold::folded;
pub(crate) use request::without_request;
pub(crate) use token::{Kind, Stop, Text, Token};
pub(crate) use tokenise::{tokenise, tokenise_next};
