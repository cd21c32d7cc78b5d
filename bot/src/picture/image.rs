//! A painted surface as a PNG with a palette: a third of the size of one with full colours, for few colours are used.

use std::collections::HashMap;

use png::{BitDepth, ColorType, Compression, Encoder, EncodingError, Filter};
use tiny_skia::{Pixmap, PremultipliedColorU8};

type Rgb = [u8; 3];

/// The PNG (ISO/IEC 15948, colour type 3). Of more than 256 colours the most frequent are kept, and the others, all from
/// the softened edges of shapes, become the nearest of those.
pub(super) fn png(pixmap: &Pixmap) -> Result<Vec<u8>, EncodingError> {
    let (palette, index) = palette(pixmap);
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, pixmap.width(), pixmap.height());
    encoder.set_color(ColorType::Indexed);
    encoder.set_depth(BitDepth::Eight);
    encoder.set_palette(palette.concat());
    encoder.set_compression(Compression::Balanced);
    // Palette places are no amounts: differences between neighbours tell nothing.
    encoder.set_filter(Filter::NoFilter);
    encoder.write_header()?.write_image_data(&index)?;
    Ok(bytes)
}

/// The colours, at most 256, and for each pixel the place of its colour.
fn palette(pixmap: &Pixmap) -> (Vec<Rgb>, Vec<u8>) {
    let mut counts: HashMap<Rgb, usize> = HashMap::new();
    for run in pixmap.pixels().chunk_by(|one, other| one == other) {
        *counts.entry(rgb(&run[0])).or_default() += run.len();
    }
    let mut colours: Vec<(Rgb, usize)> = counts.into_iter().collect();
    colours.sort_by_key(|(colour, count)| (std::cmp::Reverse(*count), *colour));
    let kept: Vec<Rgb> = colours.iter().take(256).map(|(colour, _)| *colour).collect();
    let place = |colour: &Rgb| {
        let nearest = kept.iter().enumerate().min_by_key(|(_, other)| distance(colour, other));
        nearest.map_or(0, |(place, _)| place as u8)
    };
    let places: HashMap<Rgb, u8> = colours.iter().map(|(colour, _)| (*colour, place(colour))).collect();
    let mut index = Vec::with_capacity(pixmap.pixels().len());
    for run in pixmap.pixels().chunk_by(|one, other| one == other) {
        index.resize(index.len() + run.len(), places[&rgb(&run[0])]);
    }
    (kept, index)
}

fn rgb(pixel: &PremultipliedColorU8) -> Rgb {
    [pixel.red(), pixel.green(), pixel.blue()]
}

fn distance(one: &Rgb, other: &Rgb) -> i32 {
    one.iter().zip(other).map(|(one, other)| (i32::from(*one) - i32::from(*other)).pow(2)).sum()
}

#[cfg(test)]
mod tests {
    use tiny_skia::Color;

    use super::*;

    fn decoded(bytes: &[u8]) -> (png::OutputInfo, Vec<u8>) {
        let mut decoder = png::Decoder::new(std::io::Cursor::new(bytes));
        decoder.set_transformations(png::Transformations::EXPAND);
        let mut reader = decoder.read_info().unwrap();
        let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
        let info = reader.next_frame(&mut pixels).unwrap();
        (info, pixels)
    }

    #[test]
    fn few_colours_come_back_exactly() {
        let mut pixmap = Pixmap::new(3, 2).unwrap();
        pixmap.fill(Color::from_rgba8(252, 251, 247, 255));
        let (info, pixels) = decoded(&png(&pixmap).unwrap());
        assert_eq!((info.width, info.height, info.color_type), (3, 2, ColorType::Rgb));
        assert_eq!(pixels, [252, 251, 247].repeat(6));
    }

    #[test]
    fn many_colours_come_back_nearly() {
        // Two of each red, and one each of a hundred that differ from them by a little green.
        let frequent = (0..512).map(|place| ((place / 2) as u8, 0));
        let rare = (0..100).map(|red| (red, 3));
        let mut pixmap = Pixmap::new(612, 1).unwrap();
        for (pixel, (red, green)) in pixmap.pixels_mut().iter_mut().zip(frequent.chain(rare)) {
            *pixel = PremultipliedColorU8::from_rgba(red, green, 0, 255).unwrap();
        }
        let (_, pixels) = decoded(&png(&pixmap).unwrap());
        for (wanted, found) in pixmap.pixels().iter().zip(pixels.chunks(3)) {
            let found: Rgb = found.try_into().unwrap();
            assert!(distance(&rgb(wanted), &found) <= 9, "{found:?} for {wanted:?}");
        }
    }
}
