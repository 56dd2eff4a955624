-- A print is named by its paper and its number, such as "A5 print 2". Before prints
-- had numbers the version of the layout stood there, and all cards were print 1.
UPDATE photos SET print = replace(print, ' version 1', ' print 1');
UPDATE strips SET print = replace(print, ' version 1', ' print 1');
