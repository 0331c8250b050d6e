-- Nobody kept drafts: a tablet saves each dent as it is set.
DROP TABLE IF EXISTS drafts;
