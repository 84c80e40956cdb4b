//! How much DHA and sugar a sample holds, in the units that laboratories report.
