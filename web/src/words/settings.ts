/** Words of the settings; they are kept on this device. */
export const settings = {
  title: "Settings",
  kept: "Kept on this device alone.",
  look: "Look",
  looks: { day: "Day", dusk: "Dusk", sun: "Sun: larger, black on white" },
  units: "Units that come first",
  unitSystems: { us: "Feet, US gallons, degrees Fahrenheit", metric: "Metres, litres, degrees Celsius" },
  dates: "Dates",
  dateForms: { words: "July 7, 2026", figures: "2026-07-07" },
  size: "Text",
  sizes: { usual: "Usual", large: "Large" },
};
