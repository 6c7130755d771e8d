//! What tells a case from every other: a hash of its inputs' numbers, bit by bit.
//!
//! The inputs go in by their paths, as the case file names them, in the order of [`settled`]; a drawing by the hash of its bytes, which
//! was made once when it was read. The title, which changes no number, is left out. Names of fields, texts for debugging and the order
//! of threads play no part.

use std::fmt;
use std::str::FromStr;

use hoopwright_case::inputs::{Input, TITLE};
use hoopwright_case::{Case, InService, Service, Settled, Value, Variant, settled};
use sha2::{Digest, Sha256};

/// Bytes of a key: far more than would be needed to tell ten thousand cases apart.
const BYTES: usize = 16;

/// The key of a case, or of a whole question.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Key([u8; BYTES]);

impl Key {
    /// Of a case.
    pub fn of(case: &Case) -> Self {
        KeyMaker::default().case(case).key()
    }

    /// Of a variant: its case, and the service under which it is judged.
    pub fn of_variant(variant: &Variant) -> Self {
        let maker = KeyMaker::default().case(&variant.case);
        variant.in_service.iter().fold(maker, KeyMaker::in_service).key()
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl FromStr for Key {
    type Err = ();

    fn from_str(text: &str) -> Result<Self, ()> {
        // Digits only: the parser below would take a sign.
        if text.len() != 2 * BYTES || !text.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b)) {
            return Err(());
        }
        u128::from_str_radix(text, 16).map(|number| Self(number.to_be_bytes())).map_err(|_| ())
    }
}

/// Makes a key of several things, each set off from the next.
#[derive(Clone, Default)]
pub struct KeyMaker(Sha256);

impl KeyMaker {
    /// A number, by its bits. Both zeros are one.
    #[must_use]
    pub fn number(self, number: f64) -> Self {
        self.tagged(b'n', &(number + 0.0).to_bits().to_le_bytes())
    }

    /// A number that may not be stated.
    #[must_use]
    pub fn stated(self, number: Option<f64>) -> Self {
        match number {
            Some(number) => self.number(number),
            None => self.tagged(b'-', &[]),
        }
    }

    /// Numbers, with how many there are.
    #[must_use]
    pub fn numbers(self, numbers: impl ExactSizeIterator<Item = f64>) -> Self {
        let counted = self.whole(numbers.len());
        numbers.fold(counted, Self::number)
    }

    /// A whole number.
    #[must_use]
    pub fn whole(self, whole: usize) -> Self {
        self.tagged(b'w', &(whole as u64).to_le_bytes())
    }

    /// A word that is no sentence: a name or an identity.
    #[must_use]
    pub fn word(self, word: &str) -> Self {
        self.whole(word.len()).tagged(b't', word.as_bytes())
    }

    /// An input, by its path.
    #[must_use]
    pub fn input(self, input: &Input) -> Self {
        self.word(input.section).word(input.key)
    }

    /// A case.
    #[must_use]
    pub fn case(self, case: &Case) -> Self {
        let told = settled(case).into_iter().filter(|(input, _)| !std::ptr::eq(*input, &TITLE));
        told.fold(self, |maker, input| maker.settled(&input))
    }

    /// The condition in service under which a case is judged.
    #[must_use]
    pub fn in_service(self, judged: &InService) -> Self {
        self.word(judged.condition.name()).service(&judged.service)
    }

    /// Time and heat in service.
    #[must_use]
    pub fn service(self, service: &Service) -> Self {
        service.resolved().iter().fold(self, |maker, (input, value)| maker.input(input).stated(*value))
    }

    /// The key of all that was put in.
    pub fn key(self) -> Key {
        let whole: [u8; 32] = self.0.finalize().into();
        Key(std::array::from_fn(|i| whole[i]))
    }

    /// An input with its value.
    #[must_use]
    pub(crate) fn settled(self, (input, value): &Settled<'_>) -> Self {
        let maker = self.input(input);
        match value {
            Value::Number(number) => maker.number(*number),
            Value::NotStated => maker.stated(None),
            Value::Whole(whole) => maker.whole(*whole),
            Value::Flag(flag) => maker.tagged(b'f', &[u8::from(*flag)]),
            Value::Word(word) => maker.word(word),
            Value::Curve(points) => {
                points.iter().fold(maker.whole(points.len()), |maker, (strain, force)| maker.number(*strain).number(*force))
            }
            Value::Stations(first, heights) => maker.number(*first).numbers(heights.iter().copied()),
            Value::Drawing(drawing) => maker.tagged(b'd', &drawing.digest),
        }
    }

    fn tagged(mut self, tag: u8, bytes: &[u8]) -> Self {
        self.0.update([tag]);
        self.0.update(bytes);
        self
    }
}
