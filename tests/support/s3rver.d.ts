// The part of it that is used; the package brings no types.
declare module '@20minutes/s3rver' {
  export default class S3Server {
    constructor(options: {
      readonly address: string;
      readonly port: number;
      readonly silent: boolean;
      readonly directory: string;
      readonly allowMismatchedSignatures: boolean;
      readonly configureBuckets: readonly {
        readonly name: string;
        readonly configs: readonly string[];
      }[];
    });
    run(): Promise<{ readonly port: number }>;
    close(): Promise<void>;
  }
}
