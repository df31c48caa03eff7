/** Dose rules of packs and formulary items: check and build. */
import { formatNumber } from '../words/quantity.ts';
import type { Bag } from '../1-read/bag.ts';
import { nodeAt, pathText, type Path, type Tree } from '../1-read/tree.ts';
import type { DosePartsDoc } from '../2-check/schema/library-schema.ts';
import type { DoseRule, Intervention, Source } from '../types.ts';
import { amountIn, ms, need } from './quantities.ts';

type Dosed = Pick<Intervention, 'unit' | 'ratePer' | 'concentrations'>;

function strengthPerMl(intervention: Dosed, label?: string): number | undefined {
  const { concentrations = [] } = intervention;
  const strength = concentrations.find((one) => one.label === label) ?? concentrations[0];
  return strength ? strength.amount / strength.perMl : undefined;
}

/** A written dose in the intervention's unit. Null when it measures something else. */
export function doseAmount(written: string, intervention: Dosed, concentration?: string): number | null {
  return amountIn(need(written), {
    unit: intervention.unit,
    ratePer: intervention.ratePer,
    strengthPerMl: strengthPerMl(intervention, concentration),
  });
}

/** The words for what an intervention is dosed in. */
export function unitText(intervention: Dosed): string {
  return intervention.unit
    ? `${intervention.unit}${intervention.ratePer ? `/${intervention.ratePer}` : ''}`
    : 'no amount';
}

/** Age and weight edges of a band in base units. */
export function bandEdges(band: NonNullable<DosePartsDoc['by-age']>[number]) {
  return {
    fromAgeYears: band.from ? need(band.from).value : 0,
    belowAgeYears: band.below ? need(band.below).value : Infinity,
    fromWeightKg: band['from-weight'] ? need(band['from-weight']).value : 0,
    belowWeightKg: band['below-weight'] ? need(band['below-weight']).value : Infinity,
  };
}

/** Where bands may stand: the rule itself, or a table beside it. */
const BAND_LISTS = ['by-age', 'or-by-age'] as const;
type BandList = (typeof BAND_LISTS)[number];

/** Sense checks of a dose rule; `name` is how messages call the intervention. */
export function checkDoseParts(
  doc: DosePartsDoc,
  name: string,
  intervention: Dosed | null,
  path: Path,
  root: Tree,
  bag: Bag,
): void {
  const at = (...more: Path): Tree => nodeAt(root, [...path, ...more]);
  const say = (...more: Path) => ({ path: pathText([...path, ...more]) });
  if (!doc['by-age'] && !doc['per-kg'])
    bag.add('no-dose', at(), { found: String(path[path.length - 1]) }, { ...say(), hint: 'add `by-age` or `per-kg`' });
  const written: [string, Path][] = [];
  for (const list of BAND_LISTS) {
    doc[list]?.forEach((band, i) => {
      written.push([band.dose, [list, i, 'dose']]);
      if (band['up-to']) written.push([band['up-to'], [list, i, 'up-to']]);
    });
  }
  const perKg = doc['per-kg'];
  if (perKg) {
    written.push([perKg.dose, ['per-kg', 'dose']]);
    if (perKg['up-to']) written.push([perKg['up-to'], ['per-kg', 'up-to']]);
    if (perKg.max) written.push([perKg.max, ['per-kg', 'max']]);
  }
  if (intervention) {
    for (const [text, where] of written) {
      if (doseAmount(text, intervention, doc.concentration) === null) {
        bag.add(
          'dose-unit',
          at(...where),
          { found: text, where: name, expected: unitText(intervention) },
          say(...where),
        );
      }
    }
    if (
      doc.concentration !== undefined &&
      !(intervention.concentrations ?? []).some((one) => one.label === doc.concentration)
    ) {
      const labels = (intervention.concentrations ?? []).map((one) => `\`${one.label}\``).join(', ');
      bag.add(
        'unknown-concentration',
        at('concentration'),
        { found: doc.concentration, where: name },
        {
          ...say('concentration'),
          hint: labels ? `the formulary lists ${labels}` : 'the formulary lists no strength for it',
        },
      );
    }
  }
  const reversed = (low: string, high: string | undefined, where: Path): void => {
    if (high !== undefined && need(high).kind === need(low).kind && need(high).value < need(low).value) {
      bag.add('range-reversed', at(...where), { found: high, expected: low }, say(...where));
    }
  };
  for (const list of BAND_LISTS)
    doc[list]?.forEach((band, i) => reversed(band.dose, band['up-to'], [list, i, 'up-to']));
  if (perKg) reversed(perKg.dose, perKg['up-to'], ['per-kg', 'up-to']);
  for (const list of BAND_LISTS) checkBands(doc, list, path, root, bag);
}

function checkBands(doc: DosePartsDoc, list: BandList, path: Path, root: Tree, bag: Bag): void {
  const bands = (doc[list] ?? []).map((band, i) => ({ ...bandEdges(band), i }));
  const text = (i: number): string => `item ${i + 1}`;
  for (const band of bands) {
    if (band.belowAgeYears <= band.fromAgeYears || band.belowWeightKg <= band.fromWeightKg) {
      bag.add(
        'bands-empty',
        nodeAt(root, [...path, list, band.i]),
        {
          found: doc[list]![band.i]!.below ?? 'its weight limit',
          expected: doc[list]![band.i]!.from ?? 'birth',
        },
        { path: pathText([...path, list, band.i]) },
      );
    }
    for (const other of bands) {
      if (other.i <= band.i) continue;
      const ages = band.fromAgeYears < other.belowAgeYears && other.fromAgeYears < band.belowAgeYears;
      const weights = band.fromWeightKg < other.belowWeightKg && other.fromWeightKg < band.belowWeightKg;
      if (ages && weights) {
        bag.add(
          'bands-overlap',
          nodeAt(root, [...path, list, other.i]),
          { found: text(band.i), other: text(other.i) },
          { path: pathText([...path, list, other.i]), hint: 'the lower edge is inclusive, the upper exclusive' },
        );
      }
    }
  }
  if (
    bands.length === 0 ||
    bands.some((band) => band.belowAgeYears <= band.fromAgeYears) ||
    doc['per-kg'] ||
    bands.some((band) => band.fromWeightKg > 0 || band.belowWeightKg < Infinity)
  )
    return;
  const sorted = [...bands].sort((a, b) => a.fromAgeYears - b.fromAgeYears);
  let reached = 0;
  for (const band of sorted) {
    if (band.fromAgeYears > reached + 1e-9)
      bag.add(
        'bands-gap',
        nodeAt(root, [...path, list, band.i]),
        { found: `ages ${formatNumber(reached)} to ${formatNumber(band.fromAgeYears)} years` },
        { path: pathText([...path, list, band.i]) },
      );
    reached = Math.max(reached, band.belowAgeYears);
  }
  if (reached !== Infinity)
    bag.add(
      'bands-gap',
      nodeAt(root, [...path, list]),
      { found: `ages from ${formatNumber(reached)} years` },
      { path: pathText([...path, list]) },
    );
}

type BuiltParts = Pick<DoseRule, 'bands' | 'table' | 'perKg' | 'concentration' | 'overMs' | 'source'>;

/** Builds a checked rule in the intervention's unit. */
export function buildDoseParts(doc: DosePartsDoc, intervention: Dosed, source: (id: string) => Source): BuiltParts {
  const amount = (text: string): number => doseAmount(text, intervention, doc.concentration)!;
  const perKg = doc['per-kg'];
  const bands = (list: NonNullable<DosePartsDoc['by-age']>) =>
    list.map((band) => {
      const edges = bandEdges(band);
      return {
        fromAgeYears: edges.fromAgeYears,
        ...(edges.belowAgeYears === Infinity ? {} : { belowAgeYears: edges.belowAgeYears }),
        ...(edges.fromWeightKg === 0 ? {} : { fromWeightKg: edges.fromWeightKg }),
        ...(edges.belowWeightKg === Infinity ? {} : { belowWeightKg: edges.belowWeightKg }),
        amount: amount(band.dose),
        ...(band['up-to'] ? { amountHigh: amount(band['up-to']) } : {}),
        ...(band.note ? { note: band.note } : {}),
        ...(band.source ? { source: source(band.source) } : {}),
      };
    });
  return {
    ...(doc['by-age'] ? { bands: bands(doc['by-age']) } : {}),
    ...(doc['or-by-age'] ? { table: bands(doc['or-by-age']) } : {}),
    ...(perKg
      ? {
          perKg: {
            amount: amount(perKg.dose),
            ...(perKg['up-to'] ? { amountHigh: amount(perKg['up-to']) } : {}),
            ...(perKg.max ? { max: amount(perKg.max) } : {}),
          },
        }
      : {}),
    ...(doc.concentration ? { concentration: doc.concentration } : {}),
    ...(doc.over ? { overMs: ms(doc.over) } : {}),
    source: source(doc.source),
  };
}
