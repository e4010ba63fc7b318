import type { Component } from "svelte";
import { house } from "../words/house";

/** What stands in a page's address, by name. */
export type Parameters = Record<string, string>;

/** What every page is given. */
export interface PageProps {
  parameters: Parameters;
}

/** A page: its address, its file, and its word in the menu where it has one. */
export interface Route {
  path: string;
  load: () => Promise<{ default: Component<PageProps> }>;
  menu?: string;
  /** Roles that see it in the menu; everybody when left out. The server decides what may be done. */
  roles?: readonly string[];
  /** Whether it works without reception. */
  away?: boolean;
}

const WORKERS = ["owner", "planner", "technician"] as const;

/** One line a page. `:name` stands for one part of the address. */
export const ROUTES: readonly Route[] = [
  { path: "/", load: () => import("../pages/start/Page.svelte"), menu: house.pages.start },
  {
    path: "/properties",
    load: () => import("../pages/properties/Page.svelte"),
    menu: house.pages.properties,
  },
  { path: "/properties/new", load: () => import("../pages/property/Page.svelte") },
  { path: "/properties/:thing", load: () => import("../pages/property/Page.svelte") },
  {
    path: "/properties/:thing/efficacy",
    load: () => import("../pages/efficacy/Page.svelte"),
    roles: WORKERS,
  },
  { path: "/properties/:thing/versions", load: () => import("../pages/property-versions/Page.svelte") },
  {
    path: "/visits",
    load: () => import("../pages/visits/Page.svelte"),
    menu: house.pages.visits,
    roles: WORKERS,
  },
  { path: "/visits/new", load: () => import("../pages/visit/Page.svelte") },
  { path: "/visits/:thing", load: () => import("../pages/visit/Page.svelte") },
  { path: "/visits/:thing/print", load: () => import("../pages/visit-print/Page.svelte") },
  {
    path: "/shelf",
    load: () => import("../pages/shelf/Page.svelte"),
    menu: house.pages.shelf,
    roles: WORKERS,
  },
  { path: "/shelf/labels/new", load: () => import("../pages/label/Page.svelte") },
  { path: "/shelf/labels/:thing", load: () => import("../pages/label/Page.svelte") },
  { path: "/shelf/equipment/new", load: () => import("../pages/equipment/Page.svelte") },
  { path: "/shelf/equipment/:thing", load: () => import("../pages/equipment/Page.svelte") },
  { path: "/shelf/stock", load: () => import("../pages/stock/Page.svelte") },
  {
    path: "/yard",
    load: () => import("../pages/yard/Page.svelte"),
    menu: house.pages.yard,
    roles: WORKERS,
    away: true,
  },
  {
    path: "/yard/counts/:property",
    load: () => import("../pages/counts/Page.svelte"),
    roles: WORKERS,
    away: true,
  },
  {
    path: "/yard/record/:visit",
    load: () => import("../pages/as-applied/Page.svelte"),
    roles: WORKERS,
    away: true,
  },
  {
    path: "/key",
    load: () => import("../pages/key/Page.svelte"),
    menu: house.pages.key,
    roles: WORKERS,
    away: true,
  },
  { path: "/key/:profile", load: () => import("../pages/pest/Page.svelte"), roles: WORKERS, away: true },
  { path: "/records", load: () => import("../pages/records/Page.svelte"), menu: house.pages.records },
  {
    path: "/records/near",
    load: () => import("../pages/near/Page.svelte"),
    roles: WORKERS,
  },
  { path: "/records/totals", load: () => import("../pages/totals/Page.svelte") },
  { path: "/records/:thing/amend", load: () => import("../pages/amend/Page.svelte"), roles: WORKERS },
  { path: "/records/:thing", load: () => import("../pages/record/Page.svelte"), roles: WORKERS },
  {
    path: "/clients",
    load: () => import("../pages/clients/Page.svelte"),
    menu: house.pages.clients,
    roles: WORKERS,
  },
  { path: "/clients/new", load: () => import("../pages/client/Page.svelte"), roles: WORKERS },
  { path: "/clients/:thing", load: () => import("../pages/client/Page.svelte"), roles: WORKERS },
  {
    path: "/business",
    load: () => import("../pages/business/Page.svelte"),
    menu: house.pages.business,
    roles: ["owner"],
  },
  {
    path: "/people",
    load: () => import("../pages/people/Page.svelte"),
    menu: house.pages.people,
    roles: ["owner"],
  },
  { path: "/my-sign-in", load: () => import("../pages/my-sign-in/Page.svelte") },
  {
    path: "/settings",
    load: () => import("../pages/settings/Page.svelte"),
    menu: house.pages.settings,
    away: true,
  },
  { path: "/sign-in", load: () => import("../pages/sign-in/Page.svelte") },
];

const NOTHING: Route = { path: "*", load: () => import("../pages/nothing/Page.svelte") };

/** The page of an address, with what its address names. */
export function routeOf(address: string, routes = ROUTES): { route: Route; parameters: Parameters } {
  const parts = address.split("/").filter((part) => part !== "");
  for (const route of routes) {
    const pattern = route.path.split("/").filter((part) => part !== "");
    if (pattern.length !== parts.length) continue;
    const parameters: Parameters = {};
    const fits = pattern.every((part, index) => {
      const found = parts[index] ?? "";
      if (!part.startsWith(":")) return part === found;
      try {
        parameters[part.slice(1)] = decodeURIComponent(found);
        return true;
      } catch {
        return false;
      }
    });
    if (fits) return { route, parameters };
  }
  return { route: NOTHING, parameters: { path: address } };
}
