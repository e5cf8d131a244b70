/** What a person asks for: orders, each with who and when. Untrusted until `parseCommand` has read it. */
import type { Lapse } from '../checklist/model.ts';
import type { RevisionEdit } from '../checklist/revision-edits.ts';
import type { Instrument, JoinedHow, LeftOpen, Stamp, StepResult } from './events.ts';

export interface NewPerson {
  readonly id: string;
  readonly name?: string;
  readonly competence: readonly string[];
}

export type Order =
  | {
      readonly command: 'open';
      readonly site: string;
      readonly people: readonly NewPerson[];
      readonly instruments: readonly Instrument[];
      readonly demo?: boolean;
      readonly previous?: { readonly job: string; readonly head: string };
    }
  | {
      readonly command: 'do';
      readonly step: string;
      readonly result: StepResult;
      readonly acted?: string;
    }
  | { readonly command: 'notDone'; readonly step: string; readonly why: string }
  | { readonly command: 'correct'; readonly step: string; readonly why: string }
  | { readonly command: 'caution'; readonly step: string }
  | {
      readonly command: 'lapse';
      readonly what: Lapse;
      readonly source?: string;
      readonly instrument?: string;
      readonly minutes?: number;
      /** For `time`: the one step whose shelf life is over; every timed fact when absent. */
      readonly step?: string;
    }
  | { readonly command: 'join'; readonly person: NewPerson; readonly hand?: JoinedHow }
  | { readonly command: 'leave'; readonly person: string }
  | {
      readonly command: 'window';
      readonly source: string;
      readonly reason: string;
      readonly readBack: string;
      readonly step?: string;
    }
  | { readonly command: 'endWindow'; readonly again?: boolean }
  | {
      readonly command: 'park';
      readonly as: 'usable' | 'shut';
      readonly told: string;
      readonly owner: string;
      readonly until: string;
      readonly left: readonly LeftOpen[];
      readonly lock?: string;
    }
  | { readonly command: 'resume' }
  | {
      readonly command: 'handOver';
      readonly to: string;
      readonly lock?: string;
      /** Points that both walked to together, by id. */
      readonly walked?: readonly string[];
    }
  | {
      /** Goes over to a newer revision of the list. */
      readonly command: 'rebase';
      /** Identity of the newer revision, hex SHA-256. */
      readonly sha256: string;
      readonly edits: readonly RevisionEdit[];
      readonly why: string;
    }
  | {
      readonly command: 'removeLockFor';
      readonly lock: string;
      readonly away: string;
      readonly tried: readonly string[];
      readonly informed: string;
      readonly authorizedBy: string;
      /** Pictures of the lock that was taken off. */
      readonly photos?: readonly string[];
    }
  | { readonly command: 'tingle'; readonly what: string }
  | { readonly command: 'nearMiss'; readonly what: string }
  | { readonly command: 'downTools'; readonly why: string }
  | { readonly command: 'refuse'; readonly why: string; readonly left: readonly LeftOpen[] }
  | { readonly command: 'evidenceHold'; readonly why: string }
  | { readonly command: 'close' }
  | {
      readonly command: 'amend';
      readonly about: string;
      readonly text: string;
      /** When what is written in was done, RFC 3339. */
      readonly acted?: string;
      /** Pictures of the paper that it stood on. */
      readonly photos?: readonly string[];
    };

export type CommandName = Order['command'];
export type Command = Stamp & Order;
