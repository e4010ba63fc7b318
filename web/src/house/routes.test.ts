import { expect, test } from "vitest";
import { ROUTES, routeOf, type Route } from "./routes";

const load = ROUTES[0]!.load;
const routes: Route[] = [
  { path: "/", load },
  { path: "/property/new", load },
  { path: "/property/:thing", load },
];

test("an address finds its page and what it names", () => {
  expect(routeOf("/", routes).route.path).toBe("/");
  expect(routeOf("/property/new", routes).route.path).toBe("/property/new");
  const found = routeOf("/property/a%20b/", routes);
  expect([found.route.path, found.parameters]).toEqual(["/property/:thing", { thing: "a b" }]);
});

test("what is no page says so", () => {
  for (const address of ["/property", "/property/a/b", "/property/%E0%A4%A"]) {
    expect(routeOf(address, routes).route.path).toBe("*");
  }
});
