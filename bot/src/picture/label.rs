//! A label for a shared bin, A6, to be printed: what goes in, how to log it, where the room is, and what to mind.

use branbell_scheduler::fact::Units;
use branbell_scheduler::quantity::bran;
use branbell_scheduler::units::{Millilitres, MillilitresPerLitre};
use qrcode::{Color, EcLevel, QrCode};

use super::canvas::{Anchor, Area, Canvas, Type};
use super::palette::{BLUISH_GREEN, FAINT_INK, INK, VERMILLION, WHITE};
use super::typeface::Cut;
use crate::say;
use crate::voice::{Measures, Voice};

/// What a label is made of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// The link to the room: `https://matrix.to/#/…` or `matrix:…`.
    pub room: String,
    /// The names of the bins it is for; none: any bin.
    pub bins: Vec<String>,
    /// A bin that its examples speak of, where it is for any.
    pub example: Option<String>,
    /// The measures its examples speak.
    pub units: Units,
    /// Whether the house takes meat, fish and dairy; none: it was not told.
    pub meat: Option<bool>,
}

/// Why there is no label.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum LabelError {
    /// The link leads to no room.
    #[error(
        "`{0}` is no link to a room: give one that begins with https://matrix.to/#/ or with matrix:r/ or matrix:roomid/"
    )]
    Link(String),
    /// The link does not fit into a QR code that can be read from a label.
    #[error("the link is too long for a QR code of this size: give one with the room's alias")]
    TooLong,
    /// Nobody could read the name of the bin.
    #[error(
        "`{0}` cannot be printed: the label's font has no letters for it; leave the name off, and write it on by hand"
    )]
    Letters(String),
}

/// A6 upright (ISO 216), millimetres.
const WIDTH: f32 = 105.0;
const HEIGHT: f32 = 148.0;
const MARGIN: f32 = 7.0;
/// The QR code with its quiet zone, millimetres.
const CODE: f32 = 43.0;
const CODE_TOP: f32 = 13.5;
/// A quiet zone of four modules on each side (ISO/IEC 18004).
const QUIET: usize = 4;
/// The longest link that leaves modules of half a millimetre, which a phone reads from a step away.
const MOST_MODULES: usize = 78;

const TITLE: Type = Type::new(Cut::Bold, 6.8, INK);
const HEAD: Type = Type::new(Cut::Bold, 3.9, INK);
const BODY: Type = Type::new(Cut::Regular, 3.2, INK);
const EXAMPLE: Type = Type::new(Cut::Bold, 3.3, INK);
const SMALL: Type = Type::new(Cut::Regular, 2.7, FAINT_INK);
const LINE: f32 = 4.35;

/// The label as an SVG whose letters are outlines: it prints alike everywhere.
///
/// # Errors
/// The link leads to no room, or does not fit.
pub fn svg(voice: &Voice, label: &Label) -> Result<String, LabelError> {
    let (title, canvas) = drawn(voice, label)?;
    let words = escaped(&words(voice, label).join(" "));
    let (title, elements) = (escaped(&title), canvas.elements());
    Ok(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{WIDTH}mm\" height=\"{HEIGHT}mm\" \
         viewBox=\"0 0 {WIDTH} {HEIGHT}\" role=\"img\" aria-labelledby=\"title words\">\n\
         <title id=\"title\">{title}</title>\n<desc id=\"words\">{words}</desc>\n{elements}</svg>\n"
    ))
}

fn drawn(voice: &Voice, label: &Label) -> Result<(String, Canvas), LabelError> {
    let code = code(&label.room)?;
    if let Some(bin) = label.bins.iter().find(|bin| !TITLE.cut.shows(bin)) {
        return Err(LabelError::Letters(bin.clone()));
    }
    let mut canvas = Canvas::new(WIDTH, HEIGHT);
    canvas.fill(Area::new(0.0, 0.0, WIDTH, HEIGHT), WHITE);
    canvas.frame(Area::new(2.5, 2.5, WIDTH - 2.5, HEIGHT - 2.5), INK, 0.6);
    let title = title(voice, label);
    canvas.text(&TITLE.fitted(&title, WIDTH - 2.0 * MARGIN), MARGIN, 12.5, TITLE);
    let left = WIDTH - MARGIN - CODE + 2.0;
    draw_code(&mut canvas, &code, left, CODE_TOP);
    let middle = left + CODE / 2.0;
    canvas.text(
        &voice.word("label-scan"),
        middle,
        CODE_TOP + CODE + 1.5,
        Type { anchor: Anchor::Middle, ..HEAD },
    );
    let link = label.room.trim_start_matches("https://matrix.to/#/");
    canvas.text(&SMALL.fitted(link, CODE), middle, CODE_TOP + CODE + 5.5, SMALL.at(Anchor::Middle));
    let column = left - MARGIN - 1.0;
    let mut y = 20.5;
    let [goes_in, stays_out] = contents(voice, label);
    for (head, text, colour) in
        [("label-in-head", goes_in, BLUISH_GREEN), ("label-out-head", stays_out, VERMILLION)]
    {
        canvas.fill(Area::new(MARGIN, y - 3.2, MARGIN + 2.6, y - 0.2), colour);
        canvas.text(&voice.word(head), MARGIN + 4.0, y, HEAD);
        y = paragraph(&mut canvas, &text, MARGIN, y + LINE + 0.6, column) + 2.4;
    }
    y = y.max(CODE_TOP + CODE + 11.0);
    canvas.text(&voice.word("label-how-head"), MARGIN, y, HEAD);
    y += LINE + 0.8;
    for (place, step) in steps(voice, label).iter().enumerate() {
        canvas.text(&format!("{}.", place + 1), MARGIN, y, EXAMPLE);
        y = paragraph(&mut canvas, step, MARGIN + 5.0, y, WIDTH - 2.0 * MARGIN - 5.0);
    }
    for example in examples(voice, label) {
        canvas.text(&EXAMPLE.fitted(&example, WIDTH - 2.0 * MARGIN - 8.0), MARGIN + 8.0, y + 0.3, EXAMPLE);
        y += LINE + 0.3;
    }
    y += 2.4;
    canvas.text(&voice.word("label-care-head"), MARGIN, y, HEAD);
    paragraph(&mut canvas, &voice.word("label-care"), MARGIN, y + LINE + 0.4, WIDTH - 2.0 * MARGIN);
    Ok((title, canvas))
}

fn title(voice: &Voice, label: &Label) -> String {
    if label.bins.is_empty() {
        return voice.word("label-title");
    }
    say!(voice, "label-title-bins", bins = label.bins.join(", ")).plain()
}

/// What goes in and what stays out, by the rule of the house.
fn contents(voice: &Voice, label: &Label) -> [String; 2] {
    let (scraps, others) = (voice.word("label-in"), voice.word("label-out"));
    match label.meat {
        Some(true) => [format!("{scraps} {}", voice.word("label-meat")), others],
        Some(false) => [scraps, format!("{} {others}", voice.word("label-no-meat"))],
        None => [format!("{scraps} {}", voice.word("label-meat-unknown")), others],
    }
}

fn steps(voice: &Voice, label: &Label) -> [String; 4] {
    let measures = Measures(label.units);
    let unit = measures.volume_unit(Millilitres(1000.0));
    let spoons = |dose: f64| measures.bran(unit * MillilitresPerLitre(dose));
    let (low, high) = (spoons(bran::DOSE.low), spoons(bran::DOSE.high));
    let dose = say!(voice, "label-bran", unit = measures.volume(unit), low = low, high = high);
    [voice.word("label-press"), dose.plain(), voice.word("label-close"), voice.word("label-text")]
}

/// What to text, in the label's measures, to its first bin.
fn examples(voice: &Voice, label: &Label) -> Vec<String> {
    let id = match label.units {
        Units::Metric => "label-examples-metric",
        Units::Us => "label-examples-us",
        Units::Imperial => "label-examples-imperial",
    };
    let example = label.example.as_ref().filter(|bin| EXAMPLE.cut.shows(bin));
    let bin = label.bins.first().or(example).map_or("green", String::as_str);
    say!(voice, id, bin = bin).plain().lines().map(|line| line.trim().to_owned()).collect()
}

/// Everything that the label says.
fn words(voice: &Voice, label: &Label) -> Vec<String> {
    let [goes_in, stays_out] = contents(voice, label);
    let [in_head, out_head, how_head] =
        ["label-in-head", "label-out-head", "label-how-head"].map(|id| voice.word(id));
    let mut words = vec![in_head, goes_in, out_head, stays_out, how_head];
    words.extend(steps(voice, label));
    words.extend(examples(voice, label));
    words.extend([
        voice.word("label-care-head"),
        voice.word("label-care"),
        voice.word("label-scan"),
        label.room.clone(),
    ]);
    words
}

/// Lines of text from a place on; gives the next line's place.
fn paragraph(canvas: &mut Canvas, text: &str, x: f32, y: f32, width: f32) -> f32 {
    let lines = BODY.cut.wrapped(text, BODY.size, width);
    for (place, line) in lines.iter().enumerate() {
        canvas.text(line, x, y + LINE * place as f32, BODY);
    }
    y + LINE * lines.len() as f32
}

/// The code of the link, with a quarter of it to spare for dirt (level Q).
fn code(link: &str) -> Result<QrCode, LabelError> {
    let leads_to_a_room = ["https://matrix.to/#/", "matrix:r/", "matrix:roomid/"]
        .iter()
        .any(|start| link.strip_prefix(start).is_some_and(|room| !room.is_empty()));
    if !leads_to_a_room || link.contains(|c: char| c.is_whitespace() || c.is_control()) {
        return Err(LabelError::Link(link.to_owned()));
    }
    let levels = [EcLevel::Q, EcLevel::M, EcLevel::L];
    let codes = levels.iter().filter_map(|level| QrCode::with_error_correction_level(link, *level).ok());
    codes.into_iter().find(|code| code.width() + 2 * QUIET <= MOST_MODULES).ok_or(LabelError::TooLong)
}

fn draw_code(canvas: &mut Canvas, code: &QrCode, left: f32, top: f32) {
    let module = CODE / (code.width() + 2 * QUIET) as f32;
    let colours = code.to_colors();
    let mut cells = Vec::new();
    for (row, line) in colours.chunks(code.width()).enumerate() {
        let y = top + module * (row + QUIET) as f32;
        let mut column = QUIET;
        for run in line.chunk_by(|one, other| one == other) {
            let (from, to) = (left + module * column as f32, left + module * (column + run.len()) as f32);
            if run[0] == Color::Dark {
                cells.push(Area::new(from, y, to, y + module));
            }
            column += run.len();
        }
    }
    canvas.cells(&cells, INK);
}

fn escaped(text: &str) -> String {
    let text = text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
    // What XML 1.0 allows at all.
    text.chars().filter(|c| !c.is_control() && !matches!(c, '\u{FFFE}' | '\u{FFFF}')).collect()
}

#[cfg(test)]
mod tests {
    use branbell_language::{Message, read};

    use super::*;

    const LINK: &str = "https://matrix.to/#/#bins:example.org";

    fn label() -> Label {
        Label {
            room: LINK.into(),
            bins: vec!["green".into(), "blue".into()],
            example: None,
            units: Units::Metric,
            meat: None,
        }
    }

    #[test]
    fn is_an_svg() {
        let svg = svg(&Voice::english(), &label()).unwrap();
        if let Some(folder) = std::env::var_os("PICTURES") {
            std::fs::write(std::path::Path::new(&folder).join("label.svg"), &svg).unwrap();
        }
        // Outlines alone: no letter depends on a font.
        assert!(svg.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\"") && !svg.contains("<text"));
    }

    /// The label as a camera may see it.
    fn seen(label: &Label) -> tiny_skia::Pixmap {
        let (_, canvas) = drawn(&Voice::english(), label).unwrap();
        canvas.paint(WHITE, 8.0).unwrap()
    }

    fn scanned(label: &Label) -> Vec<String> {
        let pixmap = seen(label);
        let (width, height) = (pixmap.width() as usize, pixmap.height() as usize);
        let mut image = rqrr::PreparedImage::prepare_from_greyscale(width, height, |x, y| {
            pixmap.pixels()[y * width + x].green()
        });
        image.detect_grids().iter().map(|grid| grid.decode().unwrap().1).collect()
    }

    #[test]
    fn the_code_leads_to_the_room() {
        let long = format!(
            "https://matrix.to/#/!{}:matrix.example.org?via=example.org&via=matrix.example.net",
            "aBcDeFgH".repeat(5)
        );
        for room in
            [LINK, "matrix:r/bins:example.org", "matrix:roomid/abc%20def:example.org?action=join", &long]
        {
            assert_eq!(scanned(&Label { room: room.into(), ..label() }), [room]);
        }
    }

    #[test]
    fn a_link_to_elsewhere_is_refused() {
        let voice = Voice::english();
        for room in [
            "",
            "example.org",
            "https://matrix.to/#/",
            "matrix:u/bo:example.org",
            "https://matrix.to/#/#a b:c",
        ] {
            let refused = svg(&voice, &Label { room: room.into(), ..label() });
            assert_eq!(refused, Err(LabelError::Link(room.into())));
        }
        let room = format!("{LINK}?via={}", "x".repeat(3000));
        assert_eq!(svg(&voice, &Label { room, ..label() }), Err(LabelError::TooLong));
    }

    #[test]
    fn a_name_without_letters_is_refused() {
        let bins = vec!["green".to_owned(), "厨房".to_owned()];
        let refused = svg(&Voice::english(), &Label { bins, ..label() });
        assert_eq!(refused, Err(LabelError::Letters("厨房".into())));
    }

    #[test]
    fn its_examples_are_about_a_bin_that_is_there() {
        let about = |bins: &[&str], example: &str| {
            let bins = bins.iter().map(|bin| (*bin).to_owned()).collect();
            let label = Label { bins, example: Some(example.to_owned()), ..label() };
            examples(&Voice::english(), &label)[0].clone()
        };
        assert_eq!(about(&[], "cellar"), "added 2 litres to cellar");
        assert_eq!(about(&["gate"], "cellar"), "added 2 litres to gate");
    }

    #[test]
    fn the_svg_is_well_formed_and_says_what_is_drawn() {
        let bins = vec!["<b>&\u{7}".to_owned(), "x".repeat(300)];
        let svg = svg(&Voice::english(), &Label { bins, ..label() }).unwrap();
        let document = roxmltree::Document::parse(&svg).unwrap();
        let root = document.root_element();
        assert_eq!((root.attribute("width"), root.attribute("height")), (Some("105mm"), Some("148mm")));
        let text = |name| {
            document.descendants().find(|node| node.has_tag_name(name)).and_then(|node| node.text()).unwrap()
        };
        assert!(text("title").starts_with("Bokashi: <b>&"));
        assert!(text("desc").contains("chlorine") && text("desc").contains(LINK));
    }

    #[test]
    fn it_says_what_this_house_accepts() {
        let voice = Voice::english();
        let label = |meat| contents(&voice, &Label { meat, ..label() });
        let is_about_meat = |text: &String| text.to_lowercase().contains("meat");
        assert_eq!(label(Some(true)).each_ref().map(is_about_meat), [true, false]);
        assert_eq!(label(Some(false)).each_ref().map(is_about_meat), [false, true]);
        assert!(label(None)[0].contains("ask"));
    }

    #[test]
    fn what_it_tells_to_text_is_understood() {
        for units in [Units::Metric, Units::Us, Units::Imperial] {
            for example in examples(&Voice::english(), &Label { units, ..label() }) {
                let units = serde_json::to_value(units).unwrap();
                let message: Message = serde_json::from_value(serde_json::json!({
                    "text": example, "now": "2026-03-01T08:00:00+01:00", "zone": "Europe/Vienna", "units": units,
                    "bins": [{"name": "green", "capacity_ml": 19000}, {"name": "blue", "capacity_ml": 15000}],
                }))
                .unwrap();
                let reading = read(&message);
                assert!(reading.unclear.is_none() && reading.facts.len() == 1, "{example}: {reading:?}");
                assert_eq!(reading.facts[0].slots.bin.as_deref(), Some("green"), "{example}");
            }
        }
    }

    #[test]
    fn everything_fits_on_the_paper() {
        let units = [Units::Metric, Units::Us, Units::Imperial];
        let rules = [None, Some(true), Some(false)];
        for (units, meat) in units.into_iter().flat_map(|units| rules.map(|meat| (units, meat))) {
            let pixmap = seen(&Label { units, meat, ..label() });
            let (width, height) = (pixmap.width(), pixmap.height());
            let is_white = |x, y| pixmap.pixel(x, y).is_some_and(|pixel| pixel.green() > 250);
            // Between the border and the margin nothing is printed: no line runs over it.
            let (border, margin) = (30, 44);
            for y in border..height - border {
                assert!(
                    (width - margin..width - border).all(|x| is_white(x, y)),
                    "right edge, row {y}, {units:?}, {meat:?}"
                );
            }
            for x in border..width - border {
                assert!(
                    (height - margin..height - border).all(|y| is_white(x, y)),
                    "lower edge, column {x}, {units:?}, {meat:?}"
                );
            }
        }
    }
}
