-- What a store of version 4 held besides.
UPDATE photos SET correction_kind = '24-patch chart', correction_model = 'matrix', correction_patches = 24, correction_median_de00 = 0.5,
  correction_worst_de00 = 2, correction_held_out_de00 = 0.75, light_ratio = 1.25, tint_shift = 0.01, noise = 0.004, edge_px = 1.5,
  print = 'A5 version 1', patches = '[[96,0.5,-0.25],null]', chart = '[[38,13.5,14]]';
UPDATE swatches SET thick = 1, diameter_mm = 14.5 WHERE id = 4;
UPDATE swatches SET over_black_l = 40, over_black_a = 1, over_black_b = 2, over_black_cov_ll = 0.04, over_black_cov_la = 0.003, over_black_cov_lb = -0.002,
  over_black_cov_aa = 0.09, over_black_cov_ab = 0.011, over_black_cov_bb = 0.16, bar_l = 12, bar_a = 0.5, bar_b = -0.5 WHERE id = 6;
INSERT INTO strips VALUES
  ('A5 version 1', 'anchor', '[[95,0.25,-0.5],null]', 'old.jpg', '503b3a770a679c25a1b1e4cf2287b37de97bd7cb2dbb257da05c865b9bb9bc84', '2025-03-04T12:30:45.123456789Z'),
  ('A5 version 1', 'reference', '[[94,0.5,1]]', 'strip.txt', '', '2025-06-01T08:00:00.000000000Z');
