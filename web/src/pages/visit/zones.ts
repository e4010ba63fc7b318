import type { MapFeature } from "../../map/document";
import type { components } from "../../service/api";

type Zones = components["schemas"]["Planned"]["zones"];

/** How the key of a zone begins; the keys of the map's own features do not. */
const ZONE = "zone ";

/** The zones of a plan as the map draws them: what is treated, and what is left out for what lies beside it. */
export function zonesOf(zones: Zones | null): MapFeature[] {
  return (zones?.features ?? []).flatMap((zone): MapFeature[] => {
    const { properties } = zone;
    if (properties.layer !== "zone" || !("kind" in properties)) return [];
    const kind = properties.task ? "treated" : properties.kind === "setback" ? "kept-out" : null;
    if (kind === null || zone.geometry === null) return [];
    return [
      {
        key: ZONE + zone.id,
        json: { type: "Feature", id: zone.id, properties: { kind }, geometry: zone.geometry },
      },
    ];
  });
}

/** A question for zones, ready to be sent. */
export interface ZonesQuestion {
  address: string;
  init: RequestInit;
  /** Whether zones may be told by what was told before; not where that was not heard. */
  goesOn: boolean;
}

/** What came of it: zones, and a key in the place of each that is as it was; a refusal; or silence. */
export type ZonesAnswer =
  { zones: (MapFeature | string)[] } | { status: number; waitSeconds: number | null; body: unknown } | null;

/** Asks for zones and reads the answer; tells what is not as it was. Made to be done in a thread of its own. */
export function zonesReader(): (question: ZonesQuestion) => Promise<ZonesAnswer> {
  let before = new Map<string, string>();
  return async ({ address, init, goesOn }) => {
    let response: Response;
    let text: string;
    try {
      response = await fetch(address, init);
      text = await response.text();
    } catch {
      return null;
    }
    if (!response.ok) {
      const wait = Number(response.headers.get("retry-after") ?? Number.NaN);
      return {
        status: response.status,
        waitSeconds: Number.isFinite(wait) ? wait : null,
        body: readOr(text, null),
      };
    }
    const body = readOr(text, undefined);
    if (body === undefined) return null;
    const zones = zonesOf(body as Zones);
    const now = new Map(zones.map((zone) => [zone.key, JSON.stringify(zone.json)]));
    const isAsBefore = ({ key }: MapFeature) => goesOn && before.get(key) === now.get(key);
    const told = zones.map((zone) => (isAsBefore(zone) ? zone.key : zone));
    before = now;
    return { zones: told };
  };
}

function readOr(text: string, otherwise: unknown): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return otherwise;
  }
}
