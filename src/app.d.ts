declare global {
  namespace App {
    interface Error {
      message: string;
      /** A word for programs; the message is for people. */
      code?: string;
    }
  }
}

export {};
