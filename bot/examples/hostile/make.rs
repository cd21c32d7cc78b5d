//! Events: valid ones, and what can be made of them.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use serde_json::{Map, Value, json};

/// The bot's account.
pub(crate) const ME: &str = "@branbell:example.org";
/// Its people: the first is their steward.
pub(crate) const PEOPLE: [&str; 3] = ["@ana:example.org", "@bo:example.org", "@eve:example.org"];

/// A field that means nothing, and may be nested deeply.
pub(crate) const DEEP: &str = "\"deep\":";

/// What people say, and what nobody says.
const TEXTS: [&str; 24] = [
    "added 3 litres to green",
    "branbell: added 2 l and 2 tbsp bran",
    "Bin Keeper, drained 200 ml",
    "no, 4 litres",
    "undo",
    "done",
    "later",
    "sealed green",
    "status",
    "why?",
    "branbell: new bin <img src=x onerror=y>, 19 litres",
    "branbell: new bin gr\u{202e}een, 19 litres",
    "branbell: new bin @room, 19 litres",
    "branbell: new bin gr\u{435}en, 19 litres",
    "branbell: new bin a\nb, 19 litres",
    "branbell: added 99999999999999999999 litres",
    "branbell: added -3 litres at 99:99 on 2027-02-30",
    "added\u{200b}3\u{2066} litres \u{0}",
    "@room [a](matrix:u/eve) &lt;b&gt; *b* `c`",
    "> <@branbell:example.org> Drain green\n\n150 ml",
    "> > > \n\n",
    "Z\u{351}\u{302}\u{34f}\u{5bf}\u{1b0}\u{1f3fd}\u{200d}",
    "branbell",
    "",
];
/// Fields that mean something, wherever they turn up.
const FIELDS: [&str; 20] = [
    "type",
    "sender",
    "event_id",
    "origin_server_ts",
    "content",
    "state_key",
    "redacts",
    "unsigned",
    "transaction_id",
    "body",
    "msgtype",
    "m.relates_to",
    "m.new_content",
    "m.mentions",
    "m.in_reply_to",
    "rel_type",
    "is_falling_back",
    "user_ids",
    "key",
    "formatted_body",
];
const KINDS: [&str; 8] = [
    "m.room.message",
    "m.reaction",
    "m.room.redaction",
    "m.room.encrypted",
    "m.room.member",
    "m.room.tombstone",
    "m.sticker",
    "m.poll.start",
];

/// Makes events, one after the other.
pub(crate) struct Maker {
    chance: Pcg64,
    made: u64,
    /// Events that stand in the room, the newest at the end.
    known: Vec<String>,
}

impl Maker {
    pub(crate) fn new(seed: u64) -> Self {
        Self { chance: Pcg64::seed_from_u64(seed), made: 0, known: vec!["$first".to_owned()] }
    }

    /// These stand in the room, and others may be about them.
    pub(crate) fn know(&mut self, events: impl Iterator<Item = String>) {
        self.known.extend(events);
        self.known.drain(..self.known.len().saturating_sub(40));
    }

    /// The next event, as it comes over the line.
    pub(crate) fn event(&mut self) -> String {
        self.made += 1;
        let mut event = self.valid();
        for _ in 0..self.of(4) {
            self.change(&mut event);
        }
        let mut raw = event.to_string();
        if self.of(20) == 0 {
            self.damage(&mut raw);
        }
        raw
    }

    fn of(&mut self, several: usize) -> usize {
        self.chance.random_range(0..several)
    }

    fn one<'a>(&mut self, among: &[&'a str]) -> &'a str {
        among[self.of(among.len())]
    }

    fn target(&mut self) -> String {
        let place = self.of(self.known.len());
        self.known[place].clone()
    }

    /// What somebody says: a text as it is, several in one, one over and over, or any characters.
    fn text(&mut self) -> String {
        match self.of(10) {
            0 => (0..self.of(6))
                .map(|_| self.one(&TEXTS))
                .collect::<Vec<_>>()
                .join([" and ", ", ", "\n", ""][self.of(4)]),
            1 => {
                let (text, times) = (self.one(&TEXTS), self.of(300));
                text.repeat(times)
            }
            2 => (0..self.of(60))
                .filter_map(|_| char::from_u32(self.chance.random_range(0..0x0011_0000)))
                .collect(),
            _ => self.one(&TEXTS).to_owned(),
        }
    }

    fn valid(&mut self) -> Value {
        let (kind, content) = self.content();
        let sender = if self.of(12) == 0 { ME } else { self.one(&PEOPLE) };
        json!({
            "type": kind, "event_id": format!("$e{}", self.made), "sender": sender,
            "origin_server_ts": 1_800_000_000_000_u64 + self.made, "content": content,
            "unsigned": { "age": 1, "transaction_id": format!("r{}", self.made) },
        })
    }

    fn content(&mut self) -> (&'static str, Value) {
        let (text, target) = (self.text(), self.target());
        match self.of(9) {
            0 => (
                "m.reaction",
                json!({
                    "m.relates_to": { "rel_type": "m.annotation", "event_id": target, "key": self.one(&["✅", "💤", "🙅", "x"]) },
                }),
            ),
            1 => ("m.room.redaction", json!({ "redacts": target, "reason": text })),
            2 => (
                "m.room.encrypted",
                json!({
                    "algorithm": "m.megolm.v1.aes-sha2", "ciphertext": text, "session_id": "s", "device_id": "D", "sender_key": "k",
                }),
            ),
            3 | 4 => (
                "m.room.message",
                json!({
                    "msgtype": "m.text", "body": format!("* {text}"),
                    "m.new_content": { "msgtype": "m.text", "body": text, "m.mentions": { "user_ids": [ME] } },
                    "m.relates_to": { "rel_type": "m.replace", "event_id": target },
                }),
            ),
            5 => (
                "m.room.message",
                json!({
                    "msgtype": "m.text", "body": text,
                    "m.relates_to": {
                        "rel_type": "m.thread", "event_id": target, "is_falling_back": self.of(2) == 0,
                        "m.in_reply_to": { "event_id": self.target() },
                    },
                }),
            ),
            6 => (
                "m.room.message",
                json!({
                    "msgtype": self.one(&["m.text", "m.emote", "m.notice", "m.image", "m.odd"]), "body": text,
                    "m.relates_to": { "m.in_reply_to": { "event_id": target } }, "url": "mxc://example.org/x",
                }),
            ),
            _ => (
                "m.room.message",
                json!({
                    "msgtype": "m.text", "body": text, "format": "org.matrix.custom.html", "formatted_body": text,
                    "m.mentions": { "user_ids": [self.one(&[ME, PEOPLE[1]])], "room": self.of(2) == 0 },
                }),
            ),
        }
    }

    /// Changes something, somewhere.
    fn change(&mut self, event: &mut Value) {
        match (self.of(6), &mut *event) {
            (0, Value::Object(fields)) => _ = fields.insert("content".to_owned(), self.content().1),
            (1, Value::Object(fields)) => _ = fields.insert("type".to_owned(), self.one(&KINDS).into()),
            _ => {
                let what = self.odd();
                let field = self.one(&FIELDS).to_owned();
                let how = self.of(3);
                let place = self.somewhere(event);
                let Some(place) = event.pointer_mut(&place) else { return };
                match (place, how) {
                    (Value::Object(fields), 0) => _ = fields.insert(field, what),
                    (Value::Object(fields), 1) => _ = fields.remove(&field),
                    (place, _) => *place = what,
                }
            }
        }
    }

    /// A place in the tree of an event, as a JSON pointer (RFC 6901).
    fn somewhere(&mut self, value: &Value) -> String {
        let inner: Vec<(String, &Value)> = match value {
            Value::Object(fields) => fields.iter().map(|(field, inner)| (field.clone(), inner)).collect(),
            Value::Array(items) => {
                items.iter().enumerate().map(|(at, inner)| (at.to_string(), inner)).collect()
            }
            _ => Vec::new(),
        };
        if inner.is_empty() || self.of(6) == 0 {
            return String::new();
        }
        let (field, inner) = &inner[self.of(inner.len())];
        format!("/{}{}", field.replace('~', "~0").replace('/', "~1"), self.somewhere(inner))
    }

    /// What nobody expects.
    fn odd(&mut self) -> Value {
        match self.of(14) {
            0 => Value::Null,
            1 => true.into(),
            2 => [i64::MIN, -1, 0, i64::MAX, 9_007_199_254_740_991, 253_402_300_800_000][self.of(6)].into(),
            3 => u64::MAX.into(),
            4 => [1e308, -0.5, 1e-300][self.of(3)].into(),
            5 => self.one(&TEXTS).into(),
            6 => {
                let (text, times) =
                    (self.one(&["x", "ä", "branbell ", "> \n", "1 ", "\u{202e}", "🪣"]), self.of(9_000));
                text.repeat(times).into()
            }
            7 => self.target().into(),
            8 => self.one(&PEOPLE).into(),
            9 => ["$", "", "@", "$ä\u{0}", "!room:example.org", "$a/../b?c#d"][self.of(6)].into(),
            10 => format!("${}", "y".repeat(250 + self.of(10))).into(),
            11 => {
                let depth = self.of(120);
                (0..depth).fold(Value::Null, |inner, level| {
                    if level % 2 == 0 { json!([inner]) } else { json!({ "m.relates_to": inner }) }
                })
            }
            12 => (0..self.of(2_000)).map(|place| json!(place)).collect::<Vec<_>>().into(),
            _ => {
                let fields = (0..self.of(6)).map(|_| (self.one(&FIELDS).to_owned(), json!(self.one(&TEXTS))));
                fields.collect::<Map<_, _>>().into()
            }
        }
    }

    /// Does to the text of an event what no writer of JSON does.
    fn damage(&mut self, raw: &mut String) {
        match self.of(4) {
            0 => {
                let end = raw.floor_char_boundary(self.of(raw.len() + 1));
                raw.truncate(end);
            }
            1 => *raw = raw.replacen('{', &format!("{{\"sender\":\"{}\",", PEOPLE[2]), 1),
            2 => *raw = raw.replacen('{', "{\"event_id\":\"$first\",", 1),
            _ => {
                let depth = self.of(5_000);
                let deep = format!("{{{DEEP}{}{},", "[".repeat(depth), "]".repeat(depth));
                *raw = raw.replacen('{', &deep, 1 + self.of(3));
            }
        }
    }
}
