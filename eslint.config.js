import js from '@eslint/js';
import globals from 'globals';
import svelte from 'eslint-plugin-svelte';
import ts from 'typescript-eslint';

/** Which workspace packages each package may import: arrows run one way. */
const ARROWS = {
  patient: [],
  signals: [],
  scenario: ['patient'],
  engine: ['patient', 'scenario'],
  debrief: ['patient', 'scenario', 'engine'],
  protocol: ['patient', 'scenario', 'engine', 'debrief'],
};

const NODE_IO = [
  'node:*',
  'fs',
  'path',
  'os',
  'http',
  'https',
  'net',
  'child_process',
  'crypto',
  'worker_threads',
  'timers',
  'process',
];

/** Engines differ in the last bit of these; the patient package has its own, made of + - * / and sqrt. */
const INEXACT = [
  'exp',
  'expm1',
  'log',
  'log2',
  'log10',
  'log1p',
  'pow',
  'sin',
  'cos',
  'tan',
  'asin',
  'acos',
  'atan',
  'atan2',
  'sinh',
  'cosh',
  'tanh',
  'cbrt',
  'hypot',
];

/** Ways round the rules below: another name for Math, the global object, modules and clocks reached at run time. */
const NO_WAY_ROUND = [
  {
    selector:
      "Identifier[name='Math']:not(MemberExpression > .object):not(MemberExpression[computed=false] > .property):not(Property[computed=false] > .key):not(VariableDeclarator[id.type='ObjectPattern'] > .init)",
    message: 'Write Math.name: under another name Math can not be checked.',
  },
  {
    selector: "MemberExpression[object.name='Math'][computed=true][property.type!='Literal']",
    message: 'Write Math.name: a computed name can not be checked.',
  },
  { selector: 'ImportExpression', message: 'Packages do no I/O and load nothing at run time: import at the top.' },
  {
    selector: 'CallExpression[callee.property.name=/^toLocale/]',
    message: 'Differs between machines and their settings: write the text out.',
  },
];

const purity = Object.entries(ARROWS).map(([name, allowed]) => ({
  files: [`packages/${name}/src/**/*.ts`],
  rules: {
    'no-restricted-imports': [
      'error',
      {
        patterns: [
          { group: NODE_IO, message: 'Packages do no I/O: take text and values as arguments.' },
          {
            regex: '^(\\.\\./)+(patient|scenario|engine|debrief|protocol|signals)/',
            message: 'Import another package by its name.',
          },
          {
            group: ['**/apps/**', '@breathline/server', '@breathline/web', '@breathline/cli'],
            message: 'Packages never import an app.',
          },
          {
            group: Object.keys(ARROWS)
              .filter((other) => other !== name && !allowed.includes(other))
              .map((other) => `@breathline/${other}`),
            message: 'Arrows run one way: apps -> {debrief, protocol} -> engine -> scenario -> patient.',
          },
        ].filter((pattern) => pattern.group?.length !== 0),
      },
    ],
    'no-restricted-globals': [
      'error',
      ...[
        'process',
        'Buffer',
        'setTimeout',
        'setInterval',
        'setImmediate',
        'performance',
        'fetch',
        'window',
        'document',
        'localStorage',
        'crypto',
        'require',
        'console',
        'navigator',
        'globalThis',
        'global',
        'self',
        'queueMicrotask',
        'XMLHttpRequest',
        'WebSocket',
        'EventSource',
        'Worker',
        'sessionStorage',
        'indexedDB',
        'Intl',
        'Reflect',
        'eval',
      ].map((global) => ({ name: global, message: 'Packages do no I/O and read no clock.' })),
      { name: 'Date', message: 'Packages read no clock: pass times in.' },
    ],
    'no-restricted-properties': [
      'error',
      { object: 'Math', property: 'random', message: 'Use a seeded generator.' },
      ...(name === 'patient' || name === 'engine'
        ? INEXACT.map((property) => ({
            object: 'Math',
            property,
            message: 'Not bit-identical between JavaScript engines: use patient/maths.',
          }))
        : []),
    ],
    'no-restricted-syntax': [
      'error',
      ...NO_WAY_ROUND,
      ...(name === 'patient' || name === 'engine'
        ? [
            {
              selector: "BinaryExpression[operator='**']",
              message: 'Not bit-identical between engines: use patient/maths.',
            },
            {
              selector: "AssignmentExpression[operator='**=']",
              message: 'Not bit-identical between engines: use patient/maths.',
            },
          ]
        : []),
    ],
  },
}));

export default ts.config(
  {
    ignores: [
      '**/node_modules',
      '**/dist',
      '**/build',
      '**/.svelte-kit',
      'apps/server/src/generated',
      'packages/scenario/schema',
    ],
  },
  js.configs.recommended,
  ...ts.configs.recommended,
  ...svelte.configs.recommended,
  { languageOptions: { globals: { ...globals.node, ...globals.browser } } },
  { files: ['**/*.svelte', '**/*.svelte.ts'], languageOptions: { parserOptions: { parser: ts.parser } } },
  {
    rules: {
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_', varsIgnorePattern: '^_' }],
      'no-constant-condition': ['error', { checkLoops: false }],
    },
  },
  { files: ['**/*.svelte', '**/*.svelte.ts'], rules: { 'svelte/no-navigation-without-resolve': 'off' } },
  ...purity,
);
