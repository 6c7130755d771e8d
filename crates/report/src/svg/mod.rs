//! Pictures as self-contained SVG.
//!
//! Colours keep their order of lightness in grey and for colour-blind eyes, and no statement rests on colour alone: lines differ by dash,
//! marks by shape, and everything is labelled.

mod bands;
mod body;
pub mod calibrate;
pub mod compare;
pub mod family;
mod frame;
pub mod law;
pub mod map;
pub(crate) mod pairs;
pub mod path;
pub mod rig;
pub mod rim;
pub mod ring;
pub mod scale;
pub mod section;
pub mod sizes;
pub mod tolerance;

use std::fmt::Write;

/// Ink, and the colours of the pictures.
pub(crate) const INK: &str = "#1f2a36";
pub(crate) const MUTED: &str = "#7d8894";
pub(crate) const GRID: &str = "#e3e7eb";
pub(crate) const DEEP: &str = "#23426b";
pub(crate) const WARM: &str = "#b5541c";
pub(crate) const METAL: &str = "#c9ced4";

/// Maps a section's (r, z) to the canvas.
pub(crate) struct View {
    /// Canvas position of z = 0, r = 0.
    pub(crate) origin: [f64; 2],
    /// Canvas units for a mm.
    pub(crate) scale: f64,
    /// -1 draws the other half.
    pub(crate) side: f64,
}

impl View {
    pub(crate) fn at(&self, r: f64, z: f64) -> [f64; 2] {
        [self.origin[0] + self.side * self.scale * z, self.origin[1] - self.scale * r]
    }
}

/// A drawing under construction.
pub(crate) struct Canvas {
    body: String,
    width: f64,
    height: f64,
}

impl Canvas {
    pub(crate) fn new(width: f64, height: f64) -> Self {
        Self { body: String::new(), width, height }
    }

    pub(crate) fn raw(&mut self, markup: std::fmt::Arguments<'_>) {
        // Writing to a String cannot fail.
        let _ = self.body.write_fmt(markup);
        self.body.push('\n');
    }

    pub(crate) fn line(&mut self, a: [f64; 2], b: [f64; 2], style: &str) {
        self.raw(format_args!("<line x1=\"{:.2}\" y1=\"{:.2}\" x2=\"{:.2}\" y2=\"{:.2}\" {style}/>", a[0], a[1], b[0], b[1]));
    }

    pub(crate) fn polyline(&mut self, points: &[[f64; 2]], style: &str) {
        let list: Vec<String> = points.iter().map(|p| format!("{:.2},{:.2}", p[0], p[1])).collect();
        self.raw(format_args!("<polyline points=\"{}\" fill=\"none\" {style}/>", list.join(" ")));
    }

    pub(crate) fn polygon(&mut self, points: &[[f64; 2]], style: &str) {
        let list: Vec<String> = points.iter().map(|p| format!("{:.2},{:.2}", p[0], p[1])).collect();
        self.raw(format_args!("<polygon points=\"{}\" {style}/>", list.join(" ")));
    }

    /// A chain of quadratic edges, corners and mid-sides in turn, drawn as what they are: with the mid-side m half way, the control
    /// point is 2 m - (a + b) / 2. A chain that ends where it began (not repeated) is closed.
    pub(crate) fn curve(&mut self, chain: &[[f64; 2]], closed: bool, style: &str) {
        let Some(start) = chain.first() else { return };
        let mut d = format!("M{:.2} {:.2}", start[0], start[1]);
        let mut a = start;
        for edge in chain[1..].chunks(2) {
            let (m, b) = (edge[0], edge.get(1).unwrap_or(start));
            let c = [0, 1].map(|k| 2.0 * m[k] - 0.5 * (a[k] + b[k]));
            // Writing to a String cannot fail.
            let _ = write!(d, "Q{:.2} {:.2} {:.2} {:.2}", c[0], c[1], b[0], b[1]);
            a = b;
        }
        if closed {
            d.push('Z');
        }
        self.raw(format_args!("<path d=\"{d}\" {style}/>"));
    }

    /// Text; `anchor` is start, middle or end.
    pub(crate) fn text(&mut self, at: [f64; 2], anchor: &str, size: f64, text: &str) {
        self.raw(format_args!(
            "<text x=\"{:.2}\" y=\"{:.2}\" text-anchor=\"{anchor}\" font-size=\"{size}\" fill=\"{INK}\">{}</text>",
            at[0],
            at[1],
            escape(text)
        ));
    }

    /// As [`Self::text`], with a white rim that keeps it legible over lines and areas.
    pub(crate) fn text_over(&mut self, at: [f64; 2], anchor: &str, size: f64, text: &str) {
        self.raw(format_args!(
            "<text x=\"{:.2}\" y=\"{:.2}\" text-anchor=\"{anchor}\" font-size=\"{size}\" fill=\"{INK}\" stroke=\"#ffffff\" \
             stroke-width=\"3.5\" stroke-linejoin=\"round\" paint-order=\"stroke\">{}</text>",
            at[0],
            at[1],
            escape(text)
        ));
    }

    pub(crate) fn finish(self, title: &str, description: &str) -> String {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {w:.0} {h:.0}\" width=\"{w:.0}\" height=\"{h:.0}\" role=\"img\" \
             font-family=\"system-ui, sans-serif\">\n<title>{}</title>\n<desc>{}</desc>\n\
             <rect width=\"{w:.0}\" height=\"{h:.0}\" fill=\"#ffffff\"/>\n{}</svg>\n",
            escape(title),
            escape(description),
            self.body,
            w = self.width,
            h = self.height,
        )
    }
}

/// Text safe in XML.
pub(crate) fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// Tick values at 1, 2 or 5 times a power of ten, about `n` of them, over [0, `end`] or [`start`, `end`].
pub(crate) fn ticks(start: f64, end: f64, n: f64) -> Vec<f64> {
    let raw = ((end - start) / n).max(1e-12);
    let power = 10.0_f64.powf(raw.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].into_iter().map(|m| m * power).find(|s| *s >= raw * 0.999).unwrap_or(raw);
    let first = (start / step).ceil();
    (0..100).map(|k| (first + f64::from(k)) * step).take_while(|t| *t <= end + 1e-9 * step).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_numbers_inside_the_range() {
        assert_eq!(ticks(0.0, 13.3, 6.0), [0.0, 5.0, 10.0]);
        assert_eq!(ticks(0.0, 4.7, 5.0), [0.0, 1.0, 2.0, 3.0, 4.0]);
    }

    #[test]
    fn a_curve_passes_through_its_mid_sides() {
        // At half way a quadratic Bezier curve is at (a + 2 c + b) / 4.
        let mut canvas = Canvas::new(10.0, 10.0);
        canvas.curve(&[[0.0, 0.0], [2.0, 3.0], [4.0, 0.0]], false, "");
        assert!(canvas.finish("", "").contains("M0.00 0.00Q2.00 6.00 4.00 0.00"));
    }

    #[test]
    fn titles_are_escaped() {
        assert!(Canvas::new(10.0, 10.0).finish("a < b & \"c\"", "").contains("a &lt; b &amp; &quot;c&quot;"));
    }
}
