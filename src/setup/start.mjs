// `npm start`: build if the sources changed, then serve.
import { ensureBuilt } from './build.mjs';
import { serve } from './serve.mjs';

await serve(await ensureBuilt());
