//! Texts of random plausible cases: road, gravel and mountain pairs.
#![allow(dead_code, unreachable_pub, reason = "each test uses its part")]

use super::Draw;

impl Draw {
    pub fn one_of<'a>(&mut self, values: &[&'a str]) -> &'a str {
        values[(self.between(0.0, values.len() as f64) as usize).min(values.len() - 1)]
    }

    /// The text of a case.
    pub fn case(&mut self) -> String {
        let (code, seat) = [("622", 621.95), ("584", 583.9), ("559", 558.8)][self.between(0.0, 2.999) as usize];
        let seat = seat + self.between(-0.5, 0.5);
        let rim = self.between(19.0, 30.0).round();
        let tyre = (rim + self.between(5.0, 30.0)).round();
        // The largest pressure falls with the width, as it does on the market.
        let rated = self.between(0.4, 1.0) * (5.0_f64).min(150.0 / tyre);
        let bead = seat - self.between(-0.5, 3.0);
        let width = self.between(3.6, 4.2);
        let mut text = format!(
            "[rim]\nseat_diameter = \"{seat:.3} mm\"\ninner_width = \"{rim} mm\"\nflange_height = \"{:.2} mm\"\nhoop_stiffness = \"{:.2} MN\"\nseat_angle = \"{:.1} deg\"\nhump_height = \"{:.2} mm\"\nseat_width = \"{:.2} mm\"\nwell_width = \"7 mm\"\nwell_depth = \"{:.2} mm\"\ncrest_radius = \"{:.2} mm\"\ncorner_radius = \"{:.2} mm\"\n",
            self.between(5.0, 7.0),
            self.between(4.0, 10.0),
            self.between(0.0, 5.0),
            self.between(0.0, 0.5),
            width + self.between(0.0, 0.4),
            self.between(2.6, 3.4),
            self.between(0.5, 1.0),
            self.between(0.3, 0.9),
        );
        text += &format!(
            "[spokes]\ncount = {}\nstiffness = \"{:.0} kN\"\nlength = \"{:.0} mm\"\npretension = \"{:.0} N\"\n",
            self.one_of(&["20", "24", "28", "32", "36"]),
            self.between(350.0, 600.0),
            self.between(240.0, 295.0),
            self.between(800.0, 1300.0),
        );
        text += &format!(
            "[bead]\ndiameter = \"{bead:.3} mm\"\nstiffness = \"{:.1} kN\"\nbundle_size = \"{:.2} mm\"\nwidth = \"{width:.2} mm\"\nfiller_height = \"{:.2} mm\"\n",
            self.between(60.0, 600.0),
            self.between(1.6, 2.2),
            self.between(4.0, 8.0),
        );
        text += &format!(
            "[casing]\nsize = \"{tyre}-{code}\"\nplies = {}\nply_stiffness = \"{:.0} N/mm\"\nangle = \"{:.1} deg\"\nsidewall_thickness = \"{:.2} mm\"\ntread_thickness = \"{:.2} mm\"\n",
            self.one_of(&["1", "1", "2"]),
            self.between(100.0, 300.0),
            self.between(38.0, 52.0),
            self.between(0.7, 1.6),
            self.between(1.0, 3.0),
        );
        text += &format!(
            "[rubber]\nbead = \"{:.0} Shore A\"\ncasing = \"{:.0} Shore A\"\n[contact]\nfriction = {:.3}\n[pressure]\nrated = \"{rated:.2} bar\"\n",
            self.between(70.0, 88.0),
            self.between(52.0, 68.0),
            self.between(0.0, 0.6),
        );
        text
    }
}

/// The text of a case with the first number of an entry of a table times a factor, and whether the entry was found.
pub fn changed(text: &str, table: &str, entry: &str, factor: f64) -> Option<String> {
    let from = text.find(&format!("[{table}]"))?;
    let at = from + text[from..].find(&format!("\n{entry} = "))? + entry.len() + 4;
    let at = at + usize::from(text[at..].starts_with('"'));
    let end = at + text[at..].find(|c: char| !c.is_ascii_digit() && c != '.')?;
    let value: f64 = text[at..end].parse().ok()?;
    Some(format!("{}{}{}", &text[..at], value * factor, &text[end..]))
}
