/** Gives a file to the browser to save under a name. */
export function saveAs(file: Blob, name: string): void {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(file);
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  // The download has begun by then; the picture of the file may go.
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

/** A name for a file, out of whatever something is called. */
export function fileName(called: string, ending: string): string {
  const plain = called
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-|-$/g, "");
  return `${plain || "visit"}.${ending}`;
}
