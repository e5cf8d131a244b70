/** Hands a file to the browser, as a download. */
export function save({ name, blob }: { readonly name: string; readonly blob: Blob }): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  // Not at once: the browser reads from the address after the click.
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}
