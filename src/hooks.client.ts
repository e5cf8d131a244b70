import type { HandleClientError } from '@sveltejs/kit';

/** The part of Trusted Types (W3C) that is used; absent in browsers without it. */
interface TrustedTypes {
  createPolicy(name: 'default', rules: { createScriptURL(url: string): string }): unknown;
}

// The page's policy refuses text where a script is wanted. Workers of our own are named by their
// address, and nothing else is let through; no text ever becomes markup, for which there is no rule here.
(globalThis as { trustedTypes?: TrustedTypes }).trustedTypes?.createPolicy('default', {
  createScriptURL: (url) => {
    if (new URL(url, location.href).origin === location.origin) return url;
    throw new TypeError(`A script from elsewhere was refused: ${url}`);
  },
});

// The reader of forms would try whether it may make functions from text; it may not, and need not.
(globalThis as { __zod_globalConfig?: { jitless: boolean } }).__zod_globalConfig = {
  jitless: true,
};

export const handleError: HandleClientError = ({ error, status, message }) => {
  // A wrong address is nobody's fault here.
  if (status < 500) return { message };
  reportError(error);
  return { message: 'Something in the app broke. Go back, or open the page again.' };
};
