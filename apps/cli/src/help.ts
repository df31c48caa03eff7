import { CAUTION, ENGINE_VERSION } from '@breathline/engine';

export const VERSION = `breathline ${ENGINE_VERSION}`;

export const HELP = `breathline: simulation drills for anaphylaxis and breathing emergencies.
${CAUTION}

  breathline check FILES...        Are these scenarios, packs or formularies right? Names file, line and column.
  breathline rehearse FILE         Plays a scenario's own rehearsals and says which hold.
  breathline debrief RUN.json      Scores an exported run against its guideline pack.
  breathline whatif RUN.json ...   The same run with one act moved, dropped or dosed otherwise: what changes?
  breathline replay RUN.json       Does an exported run come out the same here, to the last bit?
  breathline out RUN.json --as ... The run as tables, xAPI statements or test observations, to a file or a store.
  breathline pack fork ID --as NEW-ID    A site's own copy of a guideline pack; “pack diff A B” says how two differ.
  breathline serve                 Starts the server with its screens.
  breathline explain CODE          What an error of “check” means, and why it matters.

In the project folder: npm run -s breathline -- COMMAND ...
More on one command: breathline COMMAND --help
Every command but serve takes --json: then JSON, and nothing else, goes to standard output.
Exit code: 0 all well, 1 something did not hold (errors found, a rehearsal failed), 2 called wrongly or a file unusable.`;

export const HELP_FOR: Readonly<Record<string, string>> = {
  check: `breathline check FILES... [--json] [--library DIR]

Checks scenario, guideline pack and formulary files (a folder means every YAML file in it). Exit 1 when any has errors;
warnings alone do not fail.

  --json          {"files":[{"file","errors":[{"code","message","line","column"}],"warnings":[...]}]}
  --library DIR   Read formulary/ and guidelines/ from DIR instead of the project's scenarios/.`,
  rehearse: `breathline rehearse FILE [--only NAME] [--json] [--csv OUT] [--run OUT.json] [--pack ID] [--seed N] [--library DIR]

Plays the scenario's own rehearsals at full speed and says which expectations hold. Exit 1 when any does not.

  --only NAME     Play this rehearsal alone.
  --csv OUT       Also write the vitals second by second (comma-separated, RFC 4180).
  --run OUT.json  Also write the rehearsal as an exported run, to debrief or to ask “what if”. One rehearsal only.
  --pack ID       Use this guideline pack instead of the scenario's first.
  --seed N        Seed of the devices' noise (1).`,
  debrief: `breathline debrief RUN.json [--pack ID] [--json]

Scores an exported run: each target met, late, missed or not due, with times, dose check and source. Needs nothing but the
file. Lines that no named clinician has checked say so and fail no one.

  --pack ID       Score against another pack inside the run.`,
  whatif: `breathline whatif RUN.json [--move SEQ=+120s|-30s] [--drop SEQ] [--dose SEQ="300 micrograms"] [--quick] [--json]

Plays the run again with the edits and compares what became of the patient, as a range over the constants of the model
that nobody knows well. Without edits it lists the acts by number. Both courses run on today's engine.

  --move SEQ=+2min   Do act SEQ so much later (+) or earlier (-): ms, s or min.
  --drop SEQ         Leave it out.
  --dose SEQ="..."   Give another amount, with its unit.
  --quick            Leave out the ranges.`,
  replay: `breathline replay RUN.json [--json] [--hashes]

Plays an exported run again from its log and compares every second with the recorded track. Exit 1 when they differ, as
they may when another engine version made it. An undo changes the future only, so what was shown before it is compared too.

  --hashes        With --json: a hash of the complete state after every 100 ms.`,
  out: `breathline out RUN.json --as events|scorecard|track|statements|observations [--to FILE] [--pack ID] [--json]

Writes an exported run in another form, to standard output or to a file. Tables are comma-separated (RFC 4180).

  --as statements    xAPI statements (IEEE 9274.1.1, 1.0.3) about a pseudonymous team.
    --team NAME --course NAME --home-page URL   The pseudonym, the course, and where accounts are looked up.
    --send URL       Into a learning record store, over https. BREATHLINE_STORE_USER and BREATHLINE_STORE_PASSWORD are used.
  --as observations  FHIR R4 Observations of what the probes showed. Needs --test-data: each is labelled as test data.
  --as events        --with-free-text also writes the words people typed, in which names may stand.`,
  pack: `breathline pack fork ID --as NEW-ID [--title TITLE] [--to FILE] [--library DIR] [--json]
breathline pack diff A [B] [--library DIR] [--json]

“fork” writes a copy of a guideline pack under a new id beside it (guidelines/NEW-ID.yaml), never over a file that is
there. Edit it in any text editor, give each line that you change a source of its own, and check it with
“breathline check”. Training only, not for patient care.

“diff” says line by line how two packs differ. With one pack, a copy is held against what it was copied from: also whose
source or check changed, and whether the published pack has moved on since. Exit 1 when anything differs.

  --title TITLE   What the copy is called.
  --to FILE       Write the copy there instead.
  --library DIR   Read formulary/ and guidelines/ from DIR instead of the project's scenarios/.`,
  serve: `breathline serve

Starts the server (as “npm start” does). PORT, HOST and BREATHLINE_DATA are honoured.`,
  explain: `breathline explain [CODE]

Says what an error or warning of “check” means and why it matters. Without a code, lists them all.`,
};
