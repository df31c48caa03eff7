/** What the programme, problem and privacy pages ask of the server. */
import type { ProgrammePage } from '@breathline/debrief';
import type { PersonEntry, ProblemEntry, RetentionSettings, SweepNote } from '@breathline/protocol';
import { call } from '../api/client.ts';

const seg = encodeURIComponent;

/** The chosen filters as a query; what is empty is left out. */
export function queryText(filters: Readonly<Record<string, string>>): string {
  const query = new URLSearchParams(Object.entries(filters).filter(([, value]) => value !== '')).toString();
  return query === '' ? '' : `?${query}`;
}

/** What the page asks for when it is opened: every run, together, on a plain chart. */
export const OPENED = {
  ward: '',
  scenario: '',
  condition: '',
  team: '',
  from: '',
  to: '',
  groupBy: 'none',
  rules: 'run-chart',
};

export const programmeApi = {
  page: (filters: Readonly<Record<string, string>>) =>
    call<ProgrammePage>('GET', `/api/programme${queryText(filters)}`),
  problems: (filters: Readonly<Record<string, string>>) =>
    call<{ problems: ProblemEntry[] }>('GET', `/api/problems${queryText(filters)}`),
  addProblem: (body: Partial<ProblemEntry>) => call<ProblemEntry>('POST', '/api/problems', body),
  changeProblem: (id: string, change: Partial<ProblemEntry>) =>
    call<ProblemEntry>('PATCH', `/api/problems/${seg(id)}`, change),
  people: () => call<{ people: PersonEntry[] }>('GET', '/api/people'),
  addPerson: (body: { pseudonym: string; name: string; consent: boolean }) =>
    call<PersonEntry>('POST', '/api/people', body),
  changePerson: (pseudonym: string, change: { name?: string; consent?: boolean }) =>
    call<PersonEntry>('PATCH', `/api/people/${seg(pseudonym)}`, change),
  removePerson: (pseudonym: string) => call<{ texts: number; runs: number }>('DELETE', `/api/people/${seg(pseudonym)}`),
  personFile: (pseudonym: string) => `/api/people/${seg(pseudonym)}/file`,
  retention: () => call<RetentionSettings & { sweeps: SweepNote[] }>('GET', '/api/retention'),
  setRetention: (settings: RetentionSettings) => call<RetentionSettings>('PUT', '/api/retention', settings),
  sweep: () => call<{ swept: SweepNote | null }>('POST', '/api/retention/sweep', {}),
  eraseWords: (runId: string) => call<{ texts: number }>('POST', `/api/runs/${seg(runId)}/erase-words`, {}),
  deleteRun: (runId: string) => call<undefined>('DELETE', `/api/runs/${seg(runId)}`),
};
