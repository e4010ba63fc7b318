/** Words that stand round every page. */
export const house = {
  name: "tussock",
  skip: "To the page",
  menu: "Pages",
  care: "The label on the container in hand is the law; local law and licensed practice govern beside it.",
  loading: "The page is being fetched.",
  broken: "This page could not be fetched.",
  again: "Try again",
  noServer: "The server does not answer.",
  noServerMend: "See whether it runs and whether this device reaches it, then try again.",
  error: "Error",
  warning: "Look at this",
  expected: "Expected:",
  mend: "To mend it:",
  pages: { start: "Start", properties: "Properties", visits: "Visits", shelf: "Shelf", settings: "Settings" },
};
