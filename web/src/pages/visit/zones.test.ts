import { afterEach, expect, test, vi } from "vitest";
import { zonesReader } from "./zones";

afterEach(() => vi.unstubAllGlobals());

const zone = (id: string, east: number, task: string | null = "lawn") => ({
  type: "Feature",
  id,
  properties: { layer: "zone", kind: "turf", task },
  geometry: {
    type: "Polygon",
    coordinates: [
      [
        [east, 0],
        [1, 1],
        [0, 1],
        [east, 0],
      ],
    ],
  },
});
const collection = (...features: unknown[]) => Response.json({ type: "FeatureCollection", features });

function reading() {
  const read = zonesReader();
  return (answer: () => Response | Promise<never>, goesOn = true) => {
    vi.stubGlobal("fetch", async () => answer());
    return read({ address: "/api/plan/zones", init: {}, goesOn });
  };
}

test("zones that are as they were are told by their key, to whoever heard them", async () => {
  const read = reading();
  const first = await read(() => collection(zone("lawn", 0), zone("band", 5), zone("path", 9, null)), false);
  expect(first).toMatchObject({ zones: [{ key: "zone lawn" }, { key: "zone band" }] });
  const second = await read(() => collection(zone("lawn", 0), zone("band", 6)));
  expect(second).toMatchObject({ zones: ["zone lawn", { key: "zone band" }] });
  expect(await read(() => collection(zone("lawn", 0)), false)).toMatchObject({
    zones: [{ key: "zone lawn" }],
  });
});

test("a refusal is handed on, and silence is none", async () => {
  const read = reading();
  const headers = { "retry-after": "3" };
  const refused = await read(() => Response.json({ problems: [] }, { status: 429, headers }));
  expect(refused).toEqual({ status: 429, waitSeconds: 3, body: { problems: [] } });
  expect(await read(() => new Response("<html>", { status: 502 }))).toMatchObject({
    status: 502,
    body: null,
  });
  expect(await read(() => Promise.reject(new TypeError("no network")))).toBeNull();
  expect(await read(() => new Response("half an ans"))).toBeNull();
});
