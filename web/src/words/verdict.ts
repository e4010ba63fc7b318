/** Words of verdicts, the same on every page. */
export const verdict = {
  statuses: { allowed: "Allowed", caution: "Look at this", refused: "Refused" },
  page: (page: number) => `(page ${page})`,
  mend: "To mend it:",
};
