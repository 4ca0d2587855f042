-- How sure a filmed path is of its scale and level, and to whose throws a calibration was fitted.
ALTER TABLE "path" ADD COLUMN "scale_sd_percent" REAL;
ALTER TABLE "path" ADD COLUMN "level_sd_deg" REAL;
ALTER TABLE "calibration" ADD COLUMN "thrower" TEXT;
ALTER TABLE "calibration" ADD COLUMN "copy" TEXT;
ALTER TABLE "calibration" ADD COLUMN "paper" TEXT;
