//! Machines, materials, tools, cautions and job templates: shipped and own.
