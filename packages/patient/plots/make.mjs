/**
 * Draws each illness untreated and treated: `node packages/patient/plots/make.mjs` writes one SVG each beside this file.
 * Line style as well as colour tells the two apart (colours of Okabe and Ito).
 */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { build } from 'esbuild';
import { COURSES } from './courses.mjs';

const here = dirname(fileURLToPath(import.meta.url));
const folder = mkdtempSync(join(tmpdir(), 'plots-'));
const outfile = join(folder, 'patient.mjs');
await build({ entryPoints: [join(here, '../src/index.ts')], bundle: true, format: 'esm', outfile, logLevel: 'silent' });
const api = await import(pathToFileURL(outfile).href);
rmSync(folder, { recursive: true });

const PANELS = [
  { id: 'spo2Percent', label: 'Saturation, %', low: 40, high: 100 },
  { id: 'heartRatePerMin', label: 'Heart rate, /min', low: 0, high: 220 },
  { id: 'systolicMmHg', label: 'Systolic, mmHg', low: 0, high: 180 },
  { id: 'paco2MmHg', label: 'Arterial PCO2, mmHg', low: 20, high: 100 },
];
const POINTS = 150;

function run(who, inputs, minutes) {
  const model = api.buildPatient(who);
  const state = api.createState(model);
  const v = api.createVitals();
  const plan = [...inputs].sort((a, b) => a[0] - b[0]);
  const rows = [];
  const every = Math.round((minutes * 600) / POINTS);
  let next = 0;
  for (let i = 0; i <= minutes * 600; i++) {
    while (next < plan.length && plan[next][0] * 600 <= i) api.applyInput(model, state, plan[next++][1]);
    if (i % every === 0) rows.push({ t: i / 600, ...api.readVitals(model, state, v) });
    api.stepPatient(model, state, 100);
  }
  return rows;
}

const W = 340;
const H = 150;
const text = (x, y, size, words, more = '') => `<text x="${x}" y="${y}" font-size="${size}"${more}>${words}</text>`;

function panel(one, at, minutes, bare, care) {
  const x0 = 44 + (at % 2) * W;
  const y0 = 62 + Math.floor(at / 2) * H;
  const w = W - 70;
  const h = H - 48;
  const high = Math.max(one.high, ...[...bare, ...care].map((r) => Math.ceil(r[one.id] / 20) * 20));
  const x = (t) => x0 + (w * t) / minutes;
  const y = (v) => y0 + h - (h * (Math.min(Math.max(v, one.low), high) - one.low)) / (high - one.low);
  const line = (rows) => rows.map((r) => `${x(r.t).toFixed(1)},${y(r[one.id]).toFixed(1)}`).join(' ');
  const middle = (one.low + high) / 2;
  return [
    text(x0, y0 - 6, 11, one.label),
    ...[one.low, middle, high].map(
      (v) =>
        `<path d="M${x0} ${y(v).toFixed(1)}h${w}" stroke="#ccc" stroke-width=".5"/>${text(x0 - 4, (y(v) + 3).toFixed(1), 9, String(v), ' text-anchor="end"')}`,
    ),
    ...[0, minutes / 2, minutes].map((t) => text(x(t).toFixed(1), y0 + h + 12, 9, `${t}`, ' text-anchor="middle"')),
    `<polyline points="${line(bare)}" fill="none" stroke="#D55E00" stroke-width="1.6" stroke-dasharray="5 3"/>`,
    `<polyline points="${line(care)}" fill="none" stroke="#0072B2" stroke-width="1.8"/>`,
  ].join('\n');
}

for (const one of COURSES) {
  const both = one.both ?? [];
  const bare = run(one.who, [...both, ...(one.untreated ?? [])], one.minutes);
  const care = run(one.who, [...both, ...one.treated], one.minutes);
  const svg = [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${2 * W + 20} ${2 * H + 78}" font-family="sans-serif" fill="#222">`,
    `<title>${one.title}</title><desc>Dashed: ${one.bare ?? 'untreated'}. Solid: ${one.care}. Simulated; not for patient care.</desc>`,
    `<rect width="100%" height="100%" fill="#fff"/>`,
    text(12, 18, 14, one.title, ' font-weight="bold"'),
    `<path d="M12 32h26" stroke="#D55E00" stroke-width="1.6" stroke-dasharray="5 3"/>${text(42, 36, 10, one.bare ?? 'untreated')}`,
    `<path d="M240 32h26" stroke="#0072B2" stroke-width="1.8"/>${text(270, 36, 10, one.care)}`,
    ...PANELS.map((p, i) => panel(p, i, one.minutes, bare, care)),
    text(12, 2 * H + 70, 9, 'Minutes along each axis. A simulated teaching patient, not for patient care.'),
    '</svg>',
  ].join('\n');
  writeFileSync(join(here, `${one.file}.svg`), svg);
  console.log(`${one.file}.svg  ${(svg.length / 1024).toFixed(0)} kB`);
}
