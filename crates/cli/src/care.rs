//! The care sentences that every help text ends with.

/// The end of a help text: examples, one a line, and the care sentences.
macro_rules! examples_and_care {
    ($($line:literal),+ $(,)?) => {
        concat!(
            "Examples:\n", $("  ", $line, "\n",)+ "\n",
            "Care: the label is the law; local law and licensed practice govern. Wear the protective equipment ",
            "the label names. Keep people and pets off until the label lets them back. Keep away from water, ",
            "from bees and bloom, and from food plants. In case of poisoning call a poison centre and have the ",
            "label at hand; stop, contain and report spills. An answer of this command says \"within the stated ",
            "limits\": it judges the inputs it was given, and nothing else."
        )
    };
}
pub(crate) use examples_and_care;

/// The one line under a plan, a mix or a choice.
pub(crate) const REMINDER: &str =
    "The label is the law; local law and licensed practice govern. Look at wind, rain, people and pets on the spot.\n";
