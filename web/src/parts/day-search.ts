// What a list is asked for by the address of its page.

/** Words of the name and days, as the address of a page says them. */
export interface DaySearched {
  text: string | undefined;
  from: string | undefined;
  until: string | undefined;
}

export function searchedIn(query: URLSearchParams): DaySearched {
  const word = (name: string) => query.get(name) || undefined;
  return { text: word("text"), from: word("from"), until: word("until") };
}

export const isSearched = (searched: DaySearched): boolean =>
  Object.values(searched).some((one) => one !== undefined);
