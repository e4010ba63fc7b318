import { house } from "../words/house";
import { clock, deviceOffset, today } from "../yard/clock";

/** What this person likes on this device. */
export interface Settings {
  look: "day" | "dusk" | "sun";
  units: "us" | "metric";
  dates: "words" | "figures";
  size: "usual" | "large";
}

const KEY = "tussock.settings/1";
const USUAL: Settings = { look: "day", units: "us", dates: "words", size: "usual" };

const ALLOWED: { [Name in keyof Settings]: readonly Settings[Name][] } = {
  look: ["day", "dusk", "sun"],
  units: ["us", "metric"],
  dates: ["words", "figures"],
  size: ["usual", "large"],
};

/** Reads settings from text; what is not known is as usual. */
export function readSettings(text: string | null): Settings {
  let read: unknown;
  try {
    read = JSON.parse(text ?? "{}");
  } catch {
    read = {};
  }
  const found = typeof read === "object" && read !== null ? (read as Record<string, unknown>) : {};
  const one = <Name extends keyof Settings>(name: Name): Settings[Name] =>
    ALLOWED[name].find((value) => value === found[name]) ?? USUAL[name];
  return { look: one("look"), units: one("units"), dates: one("dates"), size: one("size") };
}

function stored(): string | null {
  try {
    return localStorage.getItem(KEY);
  } catch {
    // A browser may forbid it; then the settings last as long as the page.
    return null;
  }
}

export const settings = $state<Settings>(readSettings(stored()));

/** The settings as this window last read or kept them: what differs now was changed here. */
let known: Settings = { ...settings };

/** What was changed here, put into what the browser keeps: other windows may have kept something else meanwhile. */
export function changedIn(kept: Settings, known: Settings, now: Settings): Settings {
  const names = Object.keys(known) as (keyof Settings)[];
  const changed = names.filter((name) => now[name] !== known[name]);
  return { ...kept, ...Object.fromEntries(changed.map((name) => [name, now[name]])) };
}

function show(): void {
  document.documentElement.dataset.look = settings.look;
  document.documentElement.dataset.size = settings.size;
}

/** Shows the settings, and keeps what was changed; called whenever one of them changes. */
export function applySettings(): void {
  show();
  const now = { ...settings };
  const kept = readSettings(stored());
  const next = changedIn(kept, known, now);
  known = now;
  if (JSON.stringify(next) === JSON.stringify(kept)) return;
  try {
    localStorage.setItem(KEY, JSON.stringify(next));
  } catch {
    // As above.
  }
}

/** Takes up what another window of the browser keeps. @returns what stops it */
export function hearSettings(): () => void {
  const heard = ({ key, newValue }: StorageEvent) => {
    // Without a name everything was taken away.
    if (key !== KEY && key !== null) return;
    known = readSettings(newValue);
    Object.assign(settings, known);
  };
  addEventListener("storage", heard);
  return () => removeEventListener("storage", heard);
}

const months = new Intl.DateTimeFormat(house.language, { dateStyle: "long", timeZone: "UTC" });

/** The day of a moment of the server by this device's clock: by universal time it may be another one. */
export function showDayOf(moment: string): string {
  const at = new Date(moment);
  return Number.isNaN(at.getTime()) ? moment : showDay(today(deviceOffset(at), at));
}

/** A moment of the server by this device's clock, such as `July 7, 2026, 07:05`. */
export function showMoment(moment: string): string {
  const at = new Date(moment);
  return Number.isNaN(at.getTime()) ? moment : `${showDayOf(moment)}, ${clock(deviceOffset(at), at)}`;
}

/** A day such as `2026-07-07` as this person likes to read it. */
export function showDay(day: string, form: Settings["dates"] = settings.dates): string {
  const moment = new Date(`${day}T00:00:00Z`);
  return form === "figures" || Number.isNaN(moment.getTime()) ? day : months.format(moment);
}
