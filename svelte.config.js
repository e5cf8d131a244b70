import adapter from '@sveltejs/adapter-node';
import { basePath } from './src/setup/base-path.mjs';
import { fingerprint } from './src/setup/fingerprint.mjs';

const self = ['self'];

/** @type {import('@sveltejs/kit').Config} */
export default {
  compilerOptions: { runes: true },
  kit: {
    adapter: adapter({ out: process.env.BUILD_OUT ?? 'build/latest', precompress: true }),
    // The look of the list of jobs comes with its page: one wait fewer on a slow network.
    inlineStyleThreshold: 20_000,
    // Absolute asset addresses, so that one cached shell page serves every depth below it.
    paths: { base: basePath(), relative: false },
    // Two builds of different sources never share a name: the offline cache is named after it.
    version: { name: process.env.BUILD_VERSION ?? fingerprint().slice(0, 16), pollInterval: 0 },
    // Pictures of the README are no part of the app that is kept on a device.
    serviceWorker: { files: (path) => !path.startsWith('readme/') },
    csp: {
      mode: 'auto',
      directives: {
        'default-src': self,
        // WebAssembly: the code reader that scans tags with the camera.
        'script-src': ['self', 'wasm-unsafe-eval'],
        'style-src': self,
        // The hash of the framework's route announcer, the only inline style there is.
        'style-src-attr': ['unsafe-hashes', 'sha256-S8qMpvofolR8Mpjy4kQvEm7m1q8clzU4dfDH0AmvZjo='],
        'img-src': ['self', 'data:', 'blob:'],
        'media-src': ['self', 'blob:'],
        'connect-src': self,
        'worker-src': self,
        'manifest-src': self,
        'object-src': ['none'],
        'base-uri': ['none'],
        'form-action': self,
        'frame-ancestors': ['none'],
        // Text never becomes a script or markup; the framework's two policies and that of hooks.client.ts.
        'require-trusted-types-for': ['script'],
        'trusted-types': ['svelte-trusted-html', 'sveltekit-trusted-url', 'default'],
      },
    },
  },
};
