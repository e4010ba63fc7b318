/** Words of the business: who it is, whom to call, what is paid and charged. */
export const business = {
  title: "Business",
  intro: "Who does the work, whom to call, and what is paid and charged: plans tell money by it.",
  none: "The books keep no business yet.",
  which: "Which business",
  name: "Name",
  address: "Where it has its seat",
  jurisdiction: "Where it works",
  jurisdictionHint: "A country, or a state as in US-KS.",
  licence: "Number of its licence",
  licenceUntil: "Licence valid until",
  insuredUntil: "Liability insurance until",
  runsOut: (what: string, days: number) =>
    days < 0
      ? `${what}: over since ${-days} ${days === -1 ? "day" : "days"}`
      : `${what}: ${days === 0 ? "the last day is today" : `${days} ${days === 1 ? "day is" : "days are"} left`}`,
  contacts: "Whom to call",
  contact: (number: number) => `Whom to call, ${number}`,
  purpose: "For what",
  purposeHint: "Such as questions, poisoning, spill.",
  contactName: "Who answers",
  reach: "Telephone or email address",
  addContact: "Add somebody to call",
  takeAway: (what: string) => `Take ${what} away`,
  prices: "Prices and rates",
  pricesHint:
    "The business file whole, as docs/business-file.md says: hourly rate, share on top, least charge, travel, taxes, what containers cost. Without it no visit tells money.",
  pricesFile: "Take in a business file",
  begin: "Begin a price list",
  keep: "Keep it",
  keptNow: "The business is in the books.",
  mayNot: "Owners change what is kept of the business.",
  forWorkers: "This page is for people who work here.",
  nothing: "not told",
  noPrices: "No prices are kept: visits tell no money.",
  toClients: "To the clients",
};
