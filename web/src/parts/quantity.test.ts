import { expect, test } from "vitest";
import {
  area,
  clock,
  digits,
  length,
  minutes,
  product,
  rain,
  speed,
  spray,
  temperature,
  wind,
} from "./quantity";

test("figures keep three digits and gain no unit that they did not have", () => {
  expect([digits(0.06046), digits(806.33), digits(12345.6), digits(0)]).toEqual([
    "0.0605",
    "806",
    "12,346",
    "0",
  ]);
  // 43,560 sq ft are an acre, 4,046.8564224 m².
  expect([area(4046.8564224, "us"), area(4046.8564224, "metric")]).toEqual(["43,560 sq ft", "4,047 m²"]);
  expect([length(7.62, "us"), spray(3.785411784, "us"), spray(3.785411784, "metric")]).toEqual([
    "25.0 ft",
    "1.00 gal",
    "3.79 L",
  ]);
});

test("product is told by the marks of its measure", () => {
  expect(product({ ml: 14, mark: 0.2 })).toBe("14.0 mL (0.473 fl oz)");
  expect(product({ g: 50.5 })).toBe("50.5 g (1.78 oz by weight)");
  expect(product({})).toBe("");
});

test("weather and time by the clock", () => {
  expect([temperature(0, "us"), temperature(31.1, "metric"), rain(0.0254, "us")]).toEqual([
    "32 °F",
    "31 °C",
    "1.00 in",
  ]);
  // 1 m/s is 3.6 km/h and 2.237 mph.
  expect([speed(1, "us").toFixed(3), speed(1, "metric")]).toEqual(["2.237", 3.6]);
  expect([wind(0), wind(350), wind(200), wind(245)]).toEqual(["N", "N", "S", "SW"]);
  expect([clock("2026-07-07T12:59:19-05:00"), clock("2026-07-07T12:59:19-05:00", true)]).toEqual([
    "12:59",
    "13:00",
  ]);
  expect([minutes(99.3), minutes(10)]).toEqual(["1 h 40 min", "10 min"]);
});
