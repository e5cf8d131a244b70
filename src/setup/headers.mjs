// Said with every answer, pages and files alike. The content policy itself is written by the
// framework (svelte.config.js), which knows the hashes and nonces of its own scripts.

export const securityHeaders = {
  'X-Content-Type-Options': 'nosniff',
  // Not "no-referrer": a form sent without scripts would then come with "Origin: null".
  'Referrer-Policy': 'same-origin',
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Cross-Origin-Resource-Policy': 'same-origin',
  'X-Frame-Options': 'DENY',
  'Permissions-Policy':
    'camera=(self), screen-wake-lock=(self), geolocation=(), microphone=(), payment=(), usb=()',
};

// A prerendered page carries its policy in the page, where "frame-ancestors" has no effect.
export const policyOfPlainFiles = "frame-ancestors 'none'";
