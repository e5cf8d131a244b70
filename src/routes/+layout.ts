// Drawn on the device, error pages too; a page that the server should draw says `ssr = true` itself.
export const ssr = false;
