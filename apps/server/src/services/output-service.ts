/** What leaves a finished run: paper, tables, statements. Faculty only; the same run gives the same file. */
import {
  DebriefError,
  eventsCsv,
  clockText,
  fhirBundle,
  notesCsv,
  reviewRun,
  runTrackCsv,
  scoreRun,
  scorecardCsv,
  teamPseudonym,
  teamworkCsv,
  xapiStatements,
  type Review,
} from '@breathline/debrief';
import { effectiveEvents, isRehearsal, type RunExport } from '@breathline/engine';
import type { RecordStoreConfig } from '../config.ts';
import { scorecardPdf } from '../paper/scorecard-pdf.ts';
import { summaryPdf } from '../paper/summary-pdf.ts';
import { Refusal } from '../refusal.ts';
import { requireFaculty, type Caller } from './access.ts';
import { sendStatements, type Sent } from './record-store.ts';
import { runDay } from '../run-day.ts';
import type { RunService } from './run-service.ts';

/** Which take and pack; both have sensible defaults. */
export interface OutputChoice {
  readonly take?: number;
  readonly pack?: string;
  /** FHIR observations are off unless somebody says that they know what they are. */
  readonly testData?: boolean;
}

export interface OutputFile {
  readonly name: string;
  readonly type: string;
  readonly body: Buffer | string;
}

/** Learners' accounts are looked up under a name that can not exist (RFC 2606) until a site gives its own. */
const NO_HOME_PAGE = 'https://simulation.invalid';

const JSON_TYPE = 'application/json; charset=utf-8';
const CSV_TYPE = 'text/csv; charset=utf-8; header=present';

type Make = (run: RunExport, choice: OutputChoice) => Promise<Buffer | string> | Buffer | string;

/** Every file there is, by the last part of its address. */
const OUTPUTS: Readonly<Record<string, { readonly type: string; readonly make: Make }>> = {
  'scorecard.pdf': { type: 'application/pdf', make: (run, { pack }) => scorecardPdf(run, pack) },
  'summary.pdf': {
    type: 'application/pdf',
    make: (run, { pack }) =>
      summaryPdf(run, pack, { takeHome: notesOf(run, 'take-home'), systemFixes: problemsOf(run) }),
  },
  'scorecard.csv': { type: CSV_TYPE, make: (run, choice) => scorecardCsv(cardOf(run, choice)) },
  'teamwork.csv': { type: CSV_TYPE, make: (run) => teamworkCsv(run) },
  'events.csv': { type: CSV_TYPE, make: (run) => eventsCsv(run) },
  // Words that people typed may hold a name: only for who asks for them.
  'events-with-words.csv': { type: CSV_TYPE, make: (run) => eventsCsv(run, { withFreeText: true }) },
  // Points of the debrief are typed words too.
  'notes.csv': { type: CSV_TYPE, make: (run) => notesCsv(run) },
  'track.csv': { type: CSV_TYPE, make: (run) => runTrackCsv(run) },
  'statements.json': {
    type: JSON_TYPE,
    make: (run, choice) => JSON.stringify(statementsOf(run, choice), null, 2),
  },
  'observations.json': {
    type: 'application/fhir+json; charset=utf-8',
    make: (run, { testData }) => {
      if (testData !== true) {
        throw new Refusal('bad-shape', 'Observations of a simulated patient are not given out by default.', {
          hint: 'Ask with ?testData=yes. Every resource is labelled as test data; never send it to a real record.',
        });
      }
      return JSON.stringify(fhirBundle(run, { startedAt: startOf(run) }), null, 2);
    },
  },
};

export const OUTPUT_NAMES = Object.keys(OUTPUTS);

const cardOf = (run: RunExport, { pack }: OutputChoice) => scoreRun(run, pack === undefined ? {} : { packId: pack });

const statementsOf = (run: RunExport, choice: OutputChoice) =>
  xapiStatements(run, cardOf(run, choice), { homePage: NO_HOME_PAGE, pseudonym: teamPseudonym(run.runId) });

const startOf = (run: RunExport): string =>
  run.events.find(({ kind }) => kind === 'run-started')?.wallTime ?? run.createdAt;

const notesOf = (run: RunExport, column: string): string[] =>
  run.events.flatMap((event) => {
    if (event.kind !== 'debrief-note' || event.column !== column) return [];
    return [event.aboutMs === undefined ? event.text : `${clockText(event.aboutMs)} ${event.text}`];
  });

/** What was found wrong with the place, as it was logged. */
const problemsOf = (run: RunExport): string[] =>
  effectiveEvents(run.events, run.scoredTake).flatMap((event) =>
    event.kind === 'system-problem' ? [event.text || event.category] : [],
  );

export class OutputService {
  readonly #runs: RunService;
  readonly #recordStore: RecordStoreConfig | null;

  constructor(runs: RunService, recordStore: RecordStoreConfig | null = null) {
    this.#runs = runs;
    this.#recordStore = recordStore;
  }

  /** Is there a store to send statements to? */
  hasRecordStore(caller: Caller): boolean {
    requireFaculty(caller);
    return this.#recordStore !== null;
  }

  /** Sends what the statements' file holds to the store this server was told of. */
  async send(caller: Caller, runId: string, choice: OutputChoice): Promise<Sent> {
    requireFaculty(caller);
    const run = await this.#runs.export(caller, runId, choice.take);
    if (isRehearsal(run.events)) {
      throw new Refusal('bad-shape', 'This run is a rehearsal: no team played it, so there is nobody to keep it of.', {
        hint: 'Send the statements of a drill.',
      });
    }
    return told(() => sendStatements(this.#recordStore, statementsOf(run, choice)));
  }

  /** One file. Throws a `Refusal` for a file or a pack there is none of. */
  async file(caller: Caller, runId: string, name: string, choice: OutputChoice): Promise<OutputFile> {
    requireFaculty(caller);
    const output = Object.hasOwn(OUTPUTS, name) ? OUTPUTS[name] : undefined;
    if (!output) throw new Refusal('not-found', `There is no file "${name.slice(0, 40)}" of a run.`);
    const run = await this.#runs.export(caller, runId, choice.take);
    const body = await told(() => output.make(run, choice));
    const scenario = run.definition.scenario.id.replace(/[^a-z0-9-]/gi, '');
    return { name: `breathline-${scenario}-${runDay(run)}-${name}`, type: output.type, body };
  }

  /** What the debrief looks at beyond the timed targets. */
  async review(caller: Caller, runId: string, choice: OutputChoice): Promise<Review> {
    requireFaculty(caller);
    const run = await this.#runs.export(caller, runId, choice.take);
    return told(() => reviewRun(run, choice.pack === undefined ? {} : { packId: choice.pack }));
  }
}

/** The debrief's own errors, as refusals. */
async function told<T>(work: () => T | Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    if (error instanceof DebriefError) throw new Refusal('no-such-pack', error.message);
    throw error;
  }
}
