/** Words of an address that is no page. */
export const nothing = {
  title: "No such page",
  says: (path: string) => `Nothing stands at ${path}.`,
  back: "To the start",
};
