import type { OfficePerson } from '#lib/server/accounts/sessions.ts';

declare global {
  namespace App {
    interface Error {
      message: string;
      /** A word for programs; the message is for people. */
      code?: string;
    }
    interface Locals {
      /** Who is signed in to the office; null for everybody else. */
      office: OfficePerson | null;
    }
  }
}

export {};
