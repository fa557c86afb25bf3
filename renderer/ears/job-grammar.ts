/** The grammar of the job engine, as the listener takes it. */
export { STAND_IN_GRAMMAR as JOB_GRAMMAR } from '../../tests/ear/stand-in-grammar.ts';
