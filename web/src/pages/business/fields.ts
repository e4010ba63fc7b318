// What a form asks of the business, and the document that the books keep of it.
import { filledIn } from "../../form/value";
import type { components } from "../../service/api";

export type Business = components["schemas"]["KeptBusiness"];
type Contact = components["schemas"]["Contact"];

export interface BusinessFields {
  name: string;
  address: string;
  jurisdiction: string;
  licence_number: string;
  licence_until: string;
  insured_until: string;
  contacts: Contact[];
  /** The business file, whole. */
  prices: string;
}

export const NO_BUSINESS: BusinessFields = {
  name: "",
  address: "",
  jurisdiction: "",
  licence_number: "",
  licence_until: "",
  insured_until: "",
  contacts: [],
  prices: "",
};

export const fieldsOf = (of: Business): BusinessFields => ({
  name: of.name,
  address: of.address ?? "",
  jurisdiction: of.jurisdiction ?? "",
  licence_number: of.licence_number ?? "",
  licence_until: of.licence_until ?? "",
  insured_until: of.insured_until ?? "",
  contacts: (of.contacts ?? []).map(({ purpose, name, reach }) => ({ purpose, name, reach })),
  prices: of.prices ?? "",
});

export function documentOf({ contacts, ...plain }: BusinessFields): Business {
  return {
    format: "tussock.kept-business/1",
    ...filledIn(plain),
    ...(contacts.length === 0 ? {} : { contacts }),
  };
}

/** Text as a business file quotes it. */
const quoted = (text: string) => JSON.stringify(text);

/** The business's own telephone: who answers questions, and never whom to call about poison or a spill. */
function telephoneOf(contacts: readonly Contact[]): string {
  const own = contacts.find(({ purpose }) => /\b(questions?|office)\b/i.test(purpose));
  return own === undefined || own.reach.includes("@") ? "" : own.reach;
}

/**
 * The head of a business file of what the form tells, with what is paid and charged still to be said. A rate that
 * nobody said is left out: nothing is not the same as not known.
 */
export function priceList({ name, address, jurisdiction, contacts }: BusinessFields): string {
  const lines = address
    .split("\n")
    .map((line) => line.trim())
    .filter((line) => line !== "");
  return `format = "tussock.business/1"
name = ${quoted(name)}
address = [${lines.map(quoted).join(", ")}]
telephone = ${quoted(telephoneOf(contacts))}
jurisdiction = ${quoted(jurisdiction)}
currency = "USD"

# Take the mark away before a line, and put your own figure in. What is not told is not known, and never nothing.
# hourly = "58.00"        # of one person at work
# minimum = "85.00"       # the least charge for a visit, before tax
# mark_up = "35 %"        # on the cost
# quotation_days = 30

# [travel]
# price = "0.70"
# distance = "1 mi"
# hourly = "40.00"

# What a container cost, by the short name of its label.
# [[product]]
# label = "brackwater-sc"
# holds = "1 gal"
# price = "186.50"
`;
}
