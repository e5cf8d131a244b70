import js from '@eslint/js';
import prettier from 'eslint-config-prettier';
import regexp from 'eslint-plugin-regexp';
import svelte from 'eslint-plugin-svelte';
import { defineConfig } from 'eslint/config';
import globals from 'globals';
import { relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import ts from 'typescript-eslint';
import svelteConfig from '../../svelte.config.js';
import { whyNot } from './rooms.mjs';

const root = fileURLToPath(new URL('../..', import.meta.url));

/** Import directions, from the one table in rooms.mjs. */
const direction = {
  meta: { type: 'problem', schema: [] },
  create(context) {
    const file = relative(root, context.filename).replaceAll('\\', '/');
    const check = (node) => {
      if (typeof node.source?.value !== 'string') return;
      const kind = node.importKind ?? node.exportKind;
      const marked =
        (node.specifiers?.length ?? 0) > 0 &&
        node.specifiers.every((one) => (one.importKind ?? one.exportKind) === 'type');
      const why = whyNot(file, node.source.value, kind === 'type' || marked);
      if (why !== null) context.report({ node, message: why });
    };
    return {
      ImportDeclaration: check,
      ImportExpression: check,
      ExportAllDeclaration: check,
      ExportNamedDeclaration: check,
    };
  },
};

export default defineConfig(
  {
    ignores: ['node_modules/', 'build/', '.svelte-kit/', 'test-results/', 'src/lib/ui/paraglide/'],
  },
  js.configs.recommended,
  ...ts.configs.recommended,
  ...svelte.configs.recommended,
  prettier,
  ...svelte.configs.prettier,
  {
    plugins: { stillwire: { rules: { direction } }, regexp },
    linterOptions: { reportUnusedDisableDirectives: 'error' },
    languageOptions: { globals: { ...globals.browser, ...globals.node } },
    rules: {
      'stillwire/direction': 'error',
      // The compiler does this one better, and knows the types.
      'no-undef': 'off',
      eqeqeq: 'error',
      'no-console': 'error',
      '@typescript-eslint/consistent-type-imports': 'error',
      '@typescript-eslint/no-unused-vars': [
        'error',
        { argsIgnorePattern: '^_', varsIgnorePattern: '^_' },
      ],
    },
  },
  {
    files: ['src/**/*.ts', 'tests/**/*.ts', '*.ts', '**/*.svelte', '**/*.svelte.ts'],
    languageOptions: {
      parserOptions: {
        projectService: true,
        tsconfigRootDir: root,
        extraFileExtensions: ['.svelte'],
        parser: ts.parser,
        svelteConfig,
      },
    },
    rules: {
      '@typescript-eslint/no-floating-promises': 'error',
      '@typescript-eslint/no-misused-promises': 'error',
      '@typescript-eslint/switch-exhaustiveness-check': [
        'error',
        { considerDefaultExhaustiveForUnions: true },
      ],
    },
  },
  {
    files: ['**/*.svelte', '**/*.svelte.ts'],
    rules: {
      // Addresses here are all absolute and the app has no base path.
      'svelte/no-navigation-without-resolve': 'off',
      'svelte/no-at-html-tags': 'error',
    },
  },
  {
    files: ['src/**'],
    // No text from outside, however long, may keep a reader busy.
    rules: { 'regexp/no-super-linear-backtracking': 'error' },
  },
  {
    files: ['src/setup/**', 'src/cli/**', 'svelte.config.js'],
    rules: { 'no-console': 'off' },
  },
);
