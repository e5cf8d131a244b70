// These pages open without any server: a shell with nothing in it yet, written at build time and
// kept by the service worker, stands for every address below /jobs and /verify.
export const prerender = 'auto';
